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
		count = 60
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
	record, imported, packet := &killer{random: r, program: program}, &killer{random: r, program: program}, &killer{random: r, program: program}
	acknowledged := 0
	for i := range count {
		day := time.Date(2010, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, 9*i).Format(time.DateOnly)
		if record.kill(t, "--property", property, "record", "Gate One", day, "--acres", "10.9") {
			acknowledged++
		}
	}
	checkWhole(t, property)
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
		done := imported.kill(t, "--property", property, "import", list)
		csv := run(t, "2026-11-25", "units", "--csv", "--property", property)
		// All units of the list are of one round, none is of an older one.
		if now := strings.Count(csv, fmt.Sprintf(",round %d,", i)); now != 0 && now != 300 || done && now != 300 {
			t.Fatalf("after import %d: %d of its 300 units are there (acknowledged: %v)", i, now, done)
		}
	}
	checkWhole(t, property)

	papers := filepath.Join(folder, "papers")
	for range count {
		packet.kill(t, "--property", property, "packet", "--output", papers)
		found, _ := filepath.Glob(filepath.Join(papers, "*.pdf"))
		for _, path := range found {
			data, err := os.ReadFile(path)
			if err != nil || !bytes.HasPrefix(data, []byte("%PDF-")) || !bytes.HasSuffix(bytes.TrimSpace(data), []byte("%%EOF")) {
				t.Fatalf("%s is half-written (%v)", path, err)
			}
		}
	}
	t.Logf("seed %d, %d times each; so many had ended before: %d records, %d imports, %d packets", seed, count, record.ended, imported.ended, packet.ended)
	if count >= 50 && (record.ended == 0 || imported.ended == 0 || record.ended == count || imported.ended == count) {
		t.Error("all moments lie on one side of the end of a command: nothing is tried")
	}
}

// killer ends runs of a program at moments that follow the time that the machine takes for
// one, so that about every other has ended by then.
type killer struct {
	random  *rand.Rand
	program string
	// latest is the latest moment; zero at first.
	latest time.Duration
	ended  int
}

// kill starts the program and ends it after a random while; done says that it
// had finished well before.
func (k *killer) kill(t *testing.T, args ...string) (done bool) {
	t.Helper()
	if k.latest == 0 {
		k.latest = 60 * time.Millisecond
	}
	command := exec.Command(k.program, args...)
	command.Env = append(os.Environ(), "EMBERQUILT_TODAY=2026-11-25")
	if err := command.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- command.Wait() }()
	select {
	case err := <-ended:
		done = err == nil
	case <-time.After(time.Duration(k.random.Int64N(int64(k.latest)))):
		command.Process.Kill()
		done = <-ended == nil
	}
	if done {
		k.ended++
		k.latest = k.latest * 2 / 3
	} else {
		k.latest = k.latest * 3 / 2
	}
	return done
}

func checkWhole(t *testing.T, property string) {
	t.Helper()
	if out := run(t, "2026-11-25", "verify", "--property", property); !strings.Contains(out, "is intact") {
		t.Error(out)
	}
}
