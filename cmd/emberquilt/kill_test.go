package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// TestKilledCommandsLeaveEverythingWhole ends commands with SIGKILL at moments
// drawn from a seed: the property file is intact afterwards, holds every change
// that was acknowledged, and no paper stands half-written under its name.
// EMBERQUILT_COMMAND_KILLS says how often each of three commands is ended.
func TestKilledCommandsLeaveEverythingWhole(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some seconds")
	}
	program := filepath.Join(t.TempDir(), "emberquilt")
	if out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
		t.Fatalf("go build: %v\n%s", err, out)
	}
	count := 15
	if os.Getenv("CI") != "" {
		count = 100
	}
	if text := os.Getenv("EMBERQUILT_COMMAND_KILLS"); text != "" {
		var err error
		if count, err = strconv.Atoi(text); err != nil {
			t.Fatal(err)
		}
	}
	folder := t.TempDir()
	property := filepath.Join(folder, "farm.emberquilt")
	demo := "../../testdata/demo/nine-gate/"
	run(t, "2026-11-25", "new", property, "--settings", demo+"settings.toml")
	run(t, "2026-11-25", "import", demo+"units.geojson", demo+"burns.csv", demo+"contract.csv", "--property", property)

	const seed = 9
	r := rand.New(rand.NewPCG(seed, 0))
	acknowledged := 0
	for i := range count {
		day := time.Date(2010, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, 9*i).Format(time.DateOnly)
		if kill(t, r, program, "--property", property, "record", "Gate One", day, "--acres", "10.9") {
			acknowledged++
		}
	}
	checkWhole(t, property)
	if on := strings.Count(run(t, "2026-11-25", "burns", "Gate One", "--csv", "--property", property), ",2010-"); on == 0 && acknowledged > 10 {
		t.Error("no record of 2010 is there")
	}
	records := strings.Count(run(t, "2026-11-25", "burns", "--csv", "--property", property), "10.9,")
	if records < acknowledged {
		t.Errorf("%d records were acknowledged, %d are there", acknowledged, records)
	}

	list := filepath.Join(folder, "many.csv")
	for i := range count {
		var text strings.Builder
		text.WriteString("unit,acres,min_interval,max_interval,notes\n")
		for u := range 300 {
			fmt.Fprintf(&text, "u%03d,%d,1,3,round %d\n", u, 5+i, i)
		}
		if err := os.WriteFile(list, []byte(text.String()), 0o666); err != nil {
			t.Fatal(err)
		}
		done := kill(t, r, program, "--property", property, "import", list)
		csv := run(t, "2026-11-25", "units", "--csv", "--property", property)
		// All units of the list are of one round, none is of an older one.
		if now := strings.Count(csv, fmt.Sprintf(",round %d,", i)); now != 0 && now != 300 || done && now != 300 {
			t.Fatalf("after import %d: %d of its 300 units are there (acknowledged: %v)", i, now, done)
		}
	}
	checkWhole(t, property)

	papers := filepath.Join(folder, "papers")
	for range count {
		kill(t, r, program, "--property", property, "packet", "--output", papers)
		found, _ := filepath.Glob(filepath.Join(papers, "*.pdf"))
		for _, path := range found {
			data, err := os.ReadFile(path)
			if err != nil || !bytes.HasPrefix(data, []byte("%PDF-")) || !bytes.HasSuffix(bytes.TrimSpace(data), []byte("%%EOF")) {
				t.Fatalf("%s is half-written (%v)", path, err)
			}
		}
	}
	t.Logf("seed %d, %d times each; %d of the records were acknowledged", seed, count, acknowledged)
}

// kill starts the program and ends it after a random while; done says that it
// had finished well before.
func kill(t *testing.T, r *rand.Rand, program string, args ...string) (done bool) {
	t.Helper()
	command := exec.Command(program, args...)
	command.Env = append(os.Environ(), "EMBERQUILT_TODAY=2026-11-25")
	if err := command.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- command.Wait() }()
	select {
	case err := <-ended:
		return err == nil
	case <-time.After(time.Duration(r.IntN(60)) * time.Millisecond):
		command.Process.Kill()
		return <-ended == nil
	}
}

func checkWhole(t *testing.T, property string) {
	t.Helper()
	if out := run(t, "2026-11-25", "verify", "--property", property); !strings.Contains(out, "is intact") {
		t.Error(out)
	}
}
