package cli

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"time"
)

// A browser that cannot be started is said in one line; the page is served all the same.
func TestPageWithoutABrowser(t *testing.T) {
	t.Setenv("PATH", "")
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	ctx, stop := context.WithTimeout(t.Context(), 500*time.Millisecond)
	defer stop()
	var out, errs bytes.Buffer
	p := Program{Args: []string{"page", t.TempDir()}, In: strings.NewReader(""), Out: &out, Err: &errs, Getenv: func(string) string { return "" }, Now: time.Now}
	p.Run(ctx)
	// Scripts read the address: it is one line, and all of standard output.
	if got := out.String(); !strings.HasPrefix(got, "page: http://127.0.0.1:") || strings.Count(got, "\n") != 1 || !strings.HasSuffix(got, "\n") {
		t.Errorf("out: %q", got)
	}
	if _, got, _ := strings.Cut(errs.String(), caution); !strings.Contains(got, "no browser could be started") || strings.Count(strings.TrimSpace(got), "\n") > 1 {
		t.Errorf("errors: %q", got)
	}
}

// What is started with a double click shows a folder of its own among the documents.
func TestClickedProgramShowsItsFolder(t *testing.T) {
	t.Setenv("PATH", "")
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	documents := t.TempDir()
	ctx, stop := context.WithTimeout(t.Context(), 500*time.Millisecond)
	defer stop()
	var out, errs bytes.Buffer
	p := Program{In: strings.NewReader("\n"), Out: &out, Err: &errs, Getenv: func(string) string { return "" }, Now: time.Now}
	p.runClicked(ctx, documents)
	if got := out.String() + errs.String(); !strings.Contains(got, "page: http://127.0.0.1:") || !strings.Contains(got, "Closing this window ends it") || !strings.Contains(got, documents) {
		t.Errorf("out: %s", got)
	}
	// What is wrong stays on the screen until somebody has read it.
	errs.Reset()
	p.In = strings.NewReader("\n")
	if status := p.runClicked(t.Context(), "/dev/null"); status == 0 || !strings.Contains(errs.String(), "Press Enter to close this window") {
		t.Errorf("status %d, %q", status, errs.String())
	}
}

// The packet and the drafts are offered where there is something in them.
func TestPapersThatMayHaveNothing(t *testing.T) {
	var may []string
	for _, p := range pagePapers() {
		if p.Has != nil {
			may = append(may, p.File)
		}
	}
	if got := strings.Join(may, " "); got != "burn-plan-draft.pdf burn-plan-draft.html cost-share-packet.pdf" {
		t.Error(got)
	}
}
