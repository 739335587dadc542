package app

import (
	"context"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
)

// TestAskAllKeepsTheOrder asks of many properties at once: what is taken comes in the
// order of the files, with the failures where they belong.
func TestAskAllKeepsTheOrder(t *testing.T) {
	var paths, want, taken, told []string
	for i := range 100 {
		paths = append(paths, fmt.Sprint(i))
		reason := ""
		if i%7 == 0 {
			reason = "failed " + fmt.Sprint(i)
		}
		want = append(want, reason)
	}
	from := Environment{Progress: func(p Progress) {
		if p.At != "" {
			told = append(told, p.At)
		}
	}}
	var atOnce, most atomic.Int64
	failed, err := AskAll(t.Context(), paths, from, "asking", func(path string) (string, error) {
		now := atOnce.Add(1)
		defer atOnce.Add(-1)
		for was := most.Load(); now > was && !most.CompareAndSwap(was, now); was = most.Load() {
		}
		var i int
		fmt.Sscan(path, &i)
		if i%7 == 0 {
			return "", errors.New("failed " + path)
		}
		return "answer " + path, nil
	}, func(path, answer string, err error) {
		if (err == nil) != (answer == "answer "+path) {
			t.Errorf("%s: %q, %v", path, answer, err)
		}
		taken = append(taken, path)
	})
	if err != nil || !slices.Equal(failed, want) || !slices.Equal(taken, paths) || !slices.Equal(told, paths) {
		t.Errorf("%v\n%v\n%v\n%v", err, failed, taken, told)
	}
	if most.Load() > mostAtOnce {
		t.Errorf("%d at once", most.Load())
	}
	if failed, err := AskAll(t.Context(), nil, Environment{}, "asking", func(string) (int, error) { return 0, nil }, func(string, int, error) { t.Error("taken") }); err != nil || failed != nil {
		t.Errorf("%v %v", failed, err)
	}
}

// TestReasonsAreOneLine cuts a property file short: what became of it is one line of a
// table of many, its hint and all.
func TestReasonsAreOneLine(t *testing.T) {
	s := property(t, "nine-gate")
	path, from := s.Store.Path(), on("2026-11-25")
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(path, 20000); err != nil {
		t.Fatal(err)
	}
	failed, err := OverAll(t.Context(), []string{path}, from, "reading", func(path string) error {
		return InSession(t.Context(), path, from, func(*Session) error { return nil })
	})
	if err != nil || len(failed) != 1 || !strings.Contains(failed[0], "is damaged; accepts a whole property file; use the last backup") || strings.Contains(failed[0], "\n") {
		t.Errorf("%v %q", err, failed)
	}
}

func TestAskAllStops(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	var asked atomic.Int64
	paths := strings.Split(strings.Repeat("x ", 1000), " ")
	_, err := AskAll(ctx, paths, Environment{}, "asking", func(string) (int, error) {
		if asked.Add(1) == 5 {
			cancel()
		}
		return 0, ctx.Err()
	}, func(string, int, error) {})
	var stopped *Interrupted
	if !errors.As(err, &stopped) || !strings.HasSuffix(stopped.Done, " of 1001 properties were done") {
		t.Errorf("%v", err)
	}
	if asked.Load() > 5+mostAtOnce {
		t.Errorf("%d were asked after the end", asked.Load())
	}
	defer func() {
		if p := recover(); p != "broken" {
			t.Errorf("%v", p)
		}
	}()
	AskAll(t.Context(), paths, Environment{}, "asking", func(string) (int, error) { panic("broken") }, func(string, int, error) {})
	t.Error("a panic was lost")
}
