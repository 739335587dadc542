package cli

import (
	"fmt"
	"os"
	"sync"
	"sync/atomic"
	"time"

	"github.com/vbauerster/mpb/v8"
	"github.com/vbauerster/mpb/v8/decor"
	"golang.org/x/term"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/quantity"
)

// progressDelay is how long a command may work without a word.
const progressDelay = 2 * time.Second

// progress shows on standard error how far a long command has come: on a
// terminal only, and only after progressDelay.
type progress struct {
	text  atomic.Pointer[string]
	timer *time.Timer
	mu    sync.Mutex
	shown *mpb.Progress
	bar   *mpb.Bar
	ended bool
}

// startProgress begins to wait; the caller ends it with stop.
func (a *terminal) startProgress(text string) *progress {
	p := &progress{}
	p.say(text)
	if file, ok := asFile(a.Err); ok && term.IsTerminal(int(file.Fd())) {
		p.timer = time.AfterFunc(progressDelay, func() { p.show(file) })
	}
	return p
}

func (p *progress) show(file *os.File) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.ended {
		return
	}
	p.shown = mpb.New(mpb.WithOutput(file), mpb.WithRefreshRate(200*time.Millisecond))
	p.bar = p.shown.New(0, mpb.SpinnerStyle("·", "•", "●", "•"), mpb.BarWidth(1), mpb.BarRemoveOnComplete(),
		mpb.AppendDecorators(decor.Any(func(decor.Statistics) string { return *p.text.Load() })))
}

// say replaces the text that is shown.
func (p *progress) say(text string) { p.text.Store(&text) }

// stop takes the line away.
func (p *progress) stop() {
	if p.timer != nil {
		p.timer.Stop()
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.ended = true
	if p.shown != nil {
		p.bar.Abort(true)
		p.shown.Wait()
		p.shown = nil
	}
}

// showProgress gives what long work tells how far it has come.
func (a *terminal) showProgress() func(app.Progress) {
	var shown *progress
	return func(p app.Progress) {
		text := progressWords(&p)
		switch {
		case text == "" && shown != nil:
			shown.stop()
			shown = nil
		case text != "" && shown == nil:
			shown = a.startProgress(text)
		case text != "":
			shown.say(text)
		}
	}
}

// progressWords says how far long work has come; empty when it is over.
func progressWords(p *app.Progress) string {
	if p.Solve != nil {
		return solveWords(p)
	}
	text := p.Doing
	if p.Of > 0 {
		text += fmt.Sprintf(": %d of %s", p.Done, quantity.Count(p.Of, p.Things))
	}
	if p.At != "" {
		text += ", " + p.At
	}
	if p.KeepsDone {
		text += "; Ctrl-C gives those done so far"
	}
	return text
}
