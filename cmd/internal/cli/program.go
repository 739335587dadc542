package cli

import (
	"context"
	"io"
	"os"
	"os/signal"
	"syscall"
	"time"
	_ "time/tzdata" // machines without zone files

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
}

// Main runs the program on the process's own arguments and streams and gives
// its exit status. The first Ctrl-C asks the command to stop and keep what it
// has, the second ends the process.
func Main() int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop)
	p := Program{Args: os.Args[1:], In: os.Stdin, Out: os.Stdout, Err: os.Stderr, Getenv: os.Getenv, Now: time.Now}
	return p.Run(ctx)
}

// Run carries out the command and gives the exit status. Errors are printed
// here and nowhere else.
func (p Program) Run(ctx context.Context) int {
	a := &terminal{Program: p}
	root := a.root()
	root.SetArgs(p.Args)
	root.SetIn(p.In)
	root.SetOut(p.Out)
	root.SetErr(p.Err)
	command, err := root.ExecuteContextC(ctx)
	err = hinted(namedFlag(err))
	status := exitStatus(ctx, err)
	a.printError(command, err, status)
	return status
}

// terminal is what the commands share.
type terminal struct {
	Program
	json     bool
	property string
	today    dayFlag
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
