package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"sync/atomic"
	"syscall"
	"time"
	_ "time/tzdata" // machines without zone files

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"emberquilt/habitat/date"
)

// Program is one run of the program: all that it takes from outside, so that
// tests can hand in their own.
type Program struct {
	// Args are the words after the program's name.
	Args     []string
	In       io.Reader
	Out, Err io.Writer
	Getenv   func(string) string
	Now      func() time.Time
	// keeps says whether the command that runs may keep something once it is told to
	// stop; nil where nobody asks.
	keeps *atomic.Bool
}

// How long a command may take to stop once it is told to: one that keeps what it has, with
// time to store it, and any other.
const (
	patienceToKeep = 10 * time.Second
	patience       = time.Second
)

// endSlow ends the process where the command that runs has not ended by itself: it reads
// from a stream that says no more, or is deep in a large file. Whatever it had begun is
// as after a loss of power: changes are in the property file whole or not at all, and
// files take their names when they are whole.
func (p Program) endSlow(ended <-chan struct{}) {
	wait := patience
	if p.keeps.Load() {
		wait = patienceToKeep
	}
	select {
	case <-ended:
		return
	case <-time.After(wait):
	}
	errs := &visible{to: p.Err}
	p.Err = errs
	(&terminal{Program: p}).printError(nil, errEnded, statusInterrupted)
	errs.end()
	os.Exit(statusInterrupted)
}

var errEnded = errors.New("interrupted; the program was ended in the midst of its work: a change of the property file is there whole or not at all")

// Main runs the program on the process's own arguments and streams and gives
// its exit status. The first Ctrl-C asks the command to stop and keep what it
// has, the second ends the process, and so does a command's own slowness to stop.
func Main() int {
	collectLate(firstCollection)
	signals := []os.Signal{os.Interrupt, syscall.SIGTERM}
	if !signal.Ignored(syscall.SIGHUP) { // as under nohup
		signals = append(signals, syscall.SIGHUP)
	}
	ctx, stop := signal.NotifyContext(context.Background(), signals...)
	defer stop()
	p := Program{Args: os.Args[1:], In: os.Stdin, Out: os.Stdout, Err: os.Stderr, Getenv: os.Getenv, Now: time.Now, keeps: new(atomic.Bool)}
	ended := make(chan struct{})
	defer close(ended)
	defer context.AfterFunc(ctx, func() {
		stop()
		p.endSlow(ended)
	})()
	if isClicked() {
		return p.runClicked(ctx, documentsFolder())
	}
	return p.Run(ctx)
}

// Run carries out the command and gives the exit status. Errors are printed
// here and nowhere else.
func (p Program) Run(ctx context.Context) int {
	out, errs := &visible{to: p.Out}, &visible{to: p.Err}
	defer out.end()
	defer errs.end()
	a := &terminal{Program: p, files: p.Out}
	if file, ok := p.Out.(*os.File); ok && term.IsTerminal(int(file.Fd())) {
		a.files = out // to be looked at, and no file
	}
	a.Out, a.Err = out, errs
	root := a.root()
	root.SetArgs(p.Args)
	root.SetIn(p.In)
	root.SetOut(a.Out)
	root.SetErr(a.Err)
	command, err := execute(ctx, root)
	err = hinted(namedFlag(err))
	status := exitStatus(ctx, err)
	a.printError(command, err, status)
	return status
}

// execute carries out the command. A fault of the program's own ends it as any error
// does: nothing that was begun is kept, since files take their names and changes
// become part of the property only when they are whole.
func execute(ctx context.Context, root *cobra.Command) (command *cobra.Command, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			command, err = root, &faultError{fault, debug.Stack()}
		}
	}()
	return root.ExecuteContextC(ctx)
}

// faultError is a fault of the program's own.
type faultError struct {
	fault any
	stack []byte
}

func (e *faultError) Error() string {
	return fmt.Sprintf("this is a fault of the program, not of your files: %v; the command was stopped, nothing more was changed\n"+
		"hint: emberquilt verify checks the property file; a report of the fault needs what follows\n%s", e.fault, e.stack)
}

// terminal is what the commands share.
type terminal struct {
	Program
	// files is where a whole file goes that is written to standard output: its bytes
	// pass as they are.
	files io.Writer
	// inputs are the files that the command has opened to read.
	inputs []os.FileInfo
	// replace lets outputs take the place of files that are not the program's.
	replace  bool
	json     bool
	property string
	// by names who makes changes.
	by    string
	today dayFlag
}

// dayFlag is a flag that holds a date.
type dayFlag struct{ date.Day }

// Set reads YYYY-MM-DD.
func (f *dayFlag) Set(text string) (err error) {
	f.Day, err = date.ParseDay(text)
	if err != nil {
		return notAccepted(text, "is not a date", "a date as YYYY-MM-DD")
	}
	return nil
}

// Type names the value in help texts.
func (f *dayFlag) Type() string { return "date" }

// day gives the date that counts as today: that of --today or of
// EMBERQUILT_TODAY where one is set, else the machine's.
func (a *terminal) day() (date.Day, error) {
	if !a.today.IsZero() {
		return a.today.Day, nil
	}
	if text := a.Getenv("EMBERQUILT_TODAY"); text != "" {
		var f dayFlag
		if err := f.Set(text); err != nil {
			return date.Day{}, usagef("EMBERQUILT_TODAY: %w", err)
		}
		return f.Day, nil
	}
	return date.DayOf(a.Now()), nil
}
