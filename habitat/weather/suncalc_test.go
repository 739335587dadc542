package weather

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"emberquilt/habitat/date"
)

// Two hundred random places and dates against suncalc, an implementation in
// another language by other people. From −55 to 60° of latitude the two lie within
// five seconds of each other; fifteen are allowed.
func TestSunAgainstSuncalc(t *testing.T) {
	if os.Getenv("EMBERQUILT_NODE") == "" {
		t.Skip("EMBERQUILT_NODE does not name a folder with suncalc; .ci/run makes one")
	}
	type question struct {
		Date      string  `json:"date"`
		Latitude  float64 `json:"latitude"`
		Longitude float64 `json:"longitude"`
	}
	random := rand.New(rand.NewPCG(1, 2))
	var questions []question
	for range 200 {
		d := date.MustDay(2020, time.January, 1).AddDays(random.IntN(4000))
		questions = append(questions, question{d.String(), math.Round(1e4*(-55+115*random.Float64())) / 1e4, math.Round(1e4*(-180+360*random.Float64())) / 1e4})
	}
	in, err := json.Marshal(questions)
	if err != nil {
		t.Fatal(err)
	}
	script, err := filepath.Abs("../../.ci/node/sun.mjs")
	if err != nil {
		t.Fatal(err)
	}
	node := exec.Command("node", script)
	node.Stdin = bytes.NewReader(in)
	out, err := node.Output()
	if err != nil {
		t.Fatalf("node: %v", err)
	}
	var answers []struct{ Sunrise, Sunset *float64 }
	if err := json.Unmarshal(out, &answers); err != nil || len(answers) != len(questions) {
		t.Fatalf("%d answers, %v", len(answers), err)
	}
	worst := 0.0
	for i, q := range questions {
		if answers[i].Sunrise == nil || answers[i].Sunset == nil {
			t.Fatalf("%+v: suncalc has no event below 60°", q)
		}
		d, err := date.ParseDay(q.Date)
		if err != nil {
			t.Fatal(err)
		}
		sun := Sun(d, Place{q.Latitude, q.Longitude}, 0)
		midnight := float64(d.Time().UnixMilli())
		for _, pair := range [][2]float64{{float64(sun.Rise) * 3600e3, *answers[i].Sunrise - midnight}, {float64(sun.Set) * 3600e3, *answers[i].Sunset - midnight}} {
			seconds := math.Abs(pair[0]-pair[1]) / 1000
			worst = max(worst, seconds)
			if seconds > 15 {
				t.Errorf("%+v: ours %.0f s, suncalc %.0f s after midnight UTC", q, pair[0]/1000, pair[1]/1000)
			}
		}
	}
	t.Logf("the largest difference over 400 events is %.1f s", worst)
}
