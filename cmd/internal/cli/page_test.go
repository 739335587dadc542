package cli

import (
	"bytes"
	"context"
	"io"
	"strings"
	"sync"
	"testing"
	"time"
)

// heard keeps what a program says, and stops it once it has said the last of the words.
type heard struct {
	mutex sync.Mutex
	text  bytes.Buffer
	last  string
	stop  func()
}

func (h *heard) Write(said []byte) (int, error) {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	n, err := h.text.Write(said)
	if strings.Contains(h.text.String(), h.last) {
		h.stop()
	}
	return n, err
}

func (h *heard) String() string {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	return h.text.String()
}

// A browser that cannot be started is said in one line; the page is served all the same.
func TestPageWithoutABrowser(t *testing.T) {
	t.Setenv("PATH", "")
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	ctx, stop := context.WithTimeout(t.Context(), 30*time.Second)
	defer stop()
	var out bytes.Buffer
	errs := heard{last: "no browser could be started", stop: stop}
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
	ctx, stop := context.WithTimeout(t.Context(), 30*time.Second)
	defer stop()
	var out, errs bytes.Buffer
	said := heard{last: "Closing this window ends it", stop: stop}
	p := Program{In: strings.NewReader("\n"), Out: io.MultiWriter(&out, &said), Err: io.MultiWriter(&errs, &said), Getenv: func(string) string { return "" }, Now: time.Now}
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
