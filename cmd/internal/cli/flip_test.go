package cli

import (
	"bytes"
	"context"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

// A file in which a bit was flipped never ends the program by a fault of its own: it is
// read, or refused with one message, and what is read are the figures of the whole file:
// the seals see to it. EMBERQUILT_FLIPS asks for another number of flips.
func TestFlippedBitsAreNoFaultOfTheProgram(t *testing.T) {
	whole, err := os.ReadFile("../../../store/testdata/schema-3.emberquilt")
	if err != nil {
		t.Fatal(err)
	}
	flips := 60
	if text := os.Getenv("EMBERQUILT_FLIPS"); text != "" {
		if flips, err = strconv.Atoi(text); err != nil {
			t.Fatal(err)
		}
	}
	random := rand.New(rand.NewPCG(19, 7))
	path := filepath.Join(t.TempDir(), "flipped.emberquilt")
	commands := [][]string{{"units"}, {"due"}, {"plans"}, {"show"}, {"settings"}, {"burns"}, {"verify"}, {"calendar"}, {"tasks"}, {"changes"}, {"contacts"}, {"prescription"}}
	run := func(args []string) (status int, out, errs bytes.Buffer) {
		p := Program{Args: append(slices.Clone(args), "--property", path), In: strings.NewReader(""), Out: &out, Err: &errs, Getenv: func(string) string { return "" },
			Now: func() time.Time { return time.Date(2026, 11, 29, 12, 0, 0, 0, time.UTC) }}
		return p.Run(context.Background()), out, errs
	}
	shown := map[string]string{}
	for _, args := range commands {
		if err := os.WriteFile(path, whole, 0o666); err != nil {
			t.Fatal(err)
		}
		status, out, errs := run(args)
		if status != 0 && (args[0] == "units" || args[0] == "burns" || args[0] == "plans") {
			t.Fatalf("the whole file, %v: status %d: %s", args, status, errs.String())
		}
		shown[args[0]] = out.String()
	}
	refused := 0
	for flip := range flips {
		data := bytes.Clone(whole)
		at := random.IntN(len(data))
		if flip%4 == 0 {
			at = random.IntN(4096) // the header and the schema
		}
		bit := byte(1) << random.IntN(8)
		data[at] ^= bit
		if err := os.WriteFile(path, data, 0o666); err != nil {
			t.Fatal(err)
		}
		for _, args := range commands {
			status, out, errs := run(args)
			if status == 0 && args[0] != "verify" && out.String() != shown[args[0]] {
				t.Errorf("bit %#x of byte %d, %v: other figures, and no word of it", bit, at, args)
			}
			if strings.Contains(errs.String(), "fault of the program") {
				t.Fatalf("bit %#x of byte %d, %v:\n%.3000s", bit, at, args, errs.String())
			}
			if status != 0 {
				refused++
			}
			if status != 0 && args[0] != "verify" && errs.Len() == 0 {
				t.Errorf("bit %#x of byte %d, %v: status %d without a word", bit, at, args, status)
			}
		}
	}
	if refused == 0 {
		t.Error("no flip was noticed")
	}
	t.Logf("%d flips, %d of %d commands refused", flips, refused, flips*len(commands))
}
