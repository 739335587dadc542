package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/list"
	"emberquilt/habitat/settings"
	"emberquilt/report/table"
)

// newOptions are those of the new command.
type newOptions struct {
	settings, template, answers, where, dates string
	patches                                   []string
	example                                   bool
}

func (a *terminal) newCommand() *cobra.Command {
	var o newOptions
	cmd := &cobra.Command{
		Use:   "new NAME",
		Short: "Begin: a few questions, and the first plan",
		Long: withStatus(`New makes NAME.emberquilt, the file that holds one property: its settings, units,
burns, plans and all their versions.

On a terminal it asks where the ground is, when you burn, and what your patches are:
typed, or as a file from the phone or a spreadsheet. Enter takes what stands in [ ].
Before anything is written it shows what it will do. Then it writes the settings, with
comments, to NAME.toml, makes the property and a first plan, and says what is due.
Ctrl-C, or a no at the end, leaves nothing behind.

--answers takes the same answers from a file, or - for standard input; --example prints
such a file to fill in. --where and --patches answer two of the questions, and where
nothing is asked the usual answers hold. With --settings a property is made from a
settings file alone, without units and plan: "emberquilt settings --example" prints one.

--template lays a county template, as "emberquilt settings --template" prints it, over
the answers or the settings: its seasons, workdays, closures, tasks and prescriptions go
first, and need not stand in the settings. These then name it, with its source and date.

`+caution, statusBadInput),
		Example: `  emberquilt new larkin
  emberquilt new larkin --where "Riley County, Kansas" --patches patches.kml
  emberquilt new --example > answers.txt
  emberquilt new larkin --answers answers.txt
  emberquilt new larkin --template riley.toml --where "Riley County, Kansas" --patches patches.kml
  emberquilt new oak-hill --settings property.toml`,
		GroupID: groupStart,
		Args:    argsBetween(0, "NAME"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.runNew(cmd.Context(), args, &o)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&o.settings, "settings", "", "settings `FILE` in TOML, - for standard input")
	flags.StringVar(&o.template, "template", "", "county template `FILE`, - for standard input")
	flags.StringVar(&o.answers, "answers", "", "answers `FILE`, - for standard input")
	flags.StringVar(&o.where, "where", "", "`PLACE`: county and state, latitude and longitude, or a file with shapes")
	flags.StringArrayVar(&o.patches, "patches", nil, "`FILE` or row of patches; may be repeated")
	flags.StringVar(&o.dates, "dates", "", "form of the dates in files: ymd, mdy or dmy")
	flags.BoolVar(&o.example, "example", false, "print an answers file to fill in")
	return cmd
}

func (a *terminal) runNew(ctx context.Context, args []string, o *newOptions) error {
	if o.example {
		_, err := io.WriteString(a.Out, app.ExampleAnswers())
		return err
	}
	if len(args) == 0 {
		return usagef("NAME is missing; accepts the name of the property file to make\nhint: emberquilt new larkin")
	}
	path := args[0]
	if !strings.HasSuffix(path, extension) {
		path += extension
	}
	hasAnswers := o.answers != "" || o.where != "" || len(o.patches) > 0
	switch {
	case o.settings != "" && hasAnswers:
		return usagef("--settings and answers cannot be combined; use one")
	case o.settings != "":
		return a.newFromSettings(ctx, path, o)
	case !oneOf(list.DateForm(o.dates), []list.DateForm{"", list.YearFirst, list.MonthFirst, list.DayFirst}):
		return flagError("dates", "ymd, mdy or dmy", "%s is not a form of dates", quote(o.dates))
	case !hasAnswers && !a.isAsked():
		name := strings.TrimSuffix(path, extension)
		return usagef(
			"there is no terminal to ask on; accepts --where with --patches, --answers FILE or --settings FILE\nhint: emberquilt new %s --where \"COUNTY, STATE\" --patches FILE",
			name,
		)
	}
	return a.firstRun(ctx, path, o)
}

// isAsked reports whether someone sits at a terminal.
func (a *terminal) isAsked() bool {
	file, ok := a.In.(*os.File)
	return ok && term.IsTerminal(int(file.Fd()))
}

func (a *terminal) newFromSettings(ctx context.Context, path string, o *newOptions) error {
	under, err := a.readTemplate(o.template)
	if err != nil {
		return err
	}
	p, err := a.readSettings(o.settings, under)
	if err != nil {
		return err
	}
	from, err := a.environment()
	if err != nil {
		return err
	}
	s, err := app.CreateUnder(ctx, path, p, under, from)
	if err != nil {
		return err
	}
	if err := s.Close(); err != nil {
		return err
	}
	return a.say("made %s for %s", path, p.Name)
}

// firstRun takes the answers, says what they come to, and makes the property.
func (a *terminal) firstRun(ctx context.Context, path string, o *newOptions) error {
	if err := a.absent(path); err != nil {
		return err
	}
	from, err := a.environment()
	if err != nil {
		return err
	}
	run := app.NewFirstRun(strings.TrimSuffix(filepath.Base(path), extension))
	run.Dates = list.DateForm(o.dates)
	if run.Template, err = a.readTemplate(o.template); err != nil {
		return err
	}
	var draft *app.FirstDraft
	if o.answers == "" && o.where == "" && len(o.patches) == 0 {
		draft, err = a.askFirstRun(ctx, run, path, from)
	} else {
		draft, err = a.draftOf(run, o, path, from)
	}
	switch {
	case err != nil:
		return err
	case draft == nil:
		return a.say("nothing was made")
	}
	return a.begin(ctx, draft, path, from)
}

// draftOf settles what the answers of the command line come to, and says it.
func (a *terminal) draftOf(run *app.FirstRun, o *newOptions, path string, from app.Environment) (*app.FirstDraft, error) {
	if err := a.answersOf(run, o); err != nil {
		return nil, err
	}
	draft, err := run.Draft(from)
	if err == nil && !a.json {
		a.sayDraft(draft, path)
	}
	return draft, err
}

// absent refuses names that are taken, before anyone answers a question.
func (a *terminal) absent(path string) error {
	for _, name := range []string{path, settingsBeside(path)} {
		if _, err := os.Lstat(name); err == nil {
			return usagef("%s exists already; accepts a name that is free\nhint: emberquilt due --property %s shows what is due there", name, path)
		}
	}
	return nil
}

// settingsBeside is the settings file that a first run writes.
func settingsBeside(path string) string { return strings.TrimSuffix(path, extension) + ".toml" }

func (a *terminal) answersOf(run *app.FirstRun, o *newOptions) error {
	if o.answers != "" {
		file, name, err := a.open(o.answers)
		if err != nil {
			return err
		}
		defer file.Close()
		text, err := io.ReadAll(io.LimitReader(file, app.MaxAnswers+1))
		if err != nil {
			return fmt.Errorf("read %s: %w", name, err)
		}
		if err := run.AnswerAll(string(text), name); err != nil {
			return err
		}
	}
	if o.where != "" {
		if err := run.Answer("where", o.where); err != nil {
			return fmt.Errorf("--where: %w", err)
		}
	}
	for _, one := range o.patches {
		if err := run.Answer("patch", one); err != nil {
			return err
		}
	}
	return nil
}

// askFirstRun puts the questions and, at the end, asks whether to go on; nil where the
// answer is no.
func (a *terminal) askFirstRun(ctx context.Context, run *app.FirstRun, path string, from app.Environment) (*app.FirstDraft, error) {
	f := newForm(ctx, a.In, a.Err)
	f.nothing = "nothing was made"
	fmt.Fprintf(a.Err, "A new property, %s. Enter takes what stands in [ ], Ctrl-C leaves nothing behind.\n\n%s\n", path, caution)
	for i := range run.Questions() {
		q := run.Questions()[i] // the usual answer may follow from those before
		fmt.Fprintln(a.Err)
		for _, line := range wrapped(q.About, 78) {
			fmt.Fprintln(a.Err, line)
		}
		if q.Form != "" {
			for _, line := range wrapped("Accepts "+q.Form+".", 78) {
				fmt.Fprintln(a.Err, line)
			}
		}
		if len(q.Choices) > 2 {
			for _, line := range wrapped("One of: "+strings.Join(q.Choices, "; ")+".", 78) {
				fmt.Fprintln(a.Err, line)
			}
		}
		usual := q.Usual
		asks := q.Asks
		if q.IsSuggestion {
			asks += " (a suggestion)"
		}
		if !q.Repeats {
			f.ask(asks, usual, func(answer string) error { return run.Answer(q.Key, answer) })
			continue
		}
		for count, again := 0, true; again && f.err == nil; {
			more := asks
			if count > 0 {
				more, usual = fmt.Sprintf("Another; %d so far, Enter when done", count), ""
			} else if !q.IsNeeded {
				more += "; Enter for none"
			}
			f.ask(more, usual, func(answer string) error {
				if answer == "" && (count > 0 || !q.IsNeeded) {
					again = false
					return nil
				}
				err := run.Answer(q.Key, answer)
				if err == nil {
					count++
				}
				return err
			})
		}
	}
	if f.err != nil {
		return nil, f.err
	}
	draft, err := run.Draft(from)
	if err != nil {
		return nil, err
	}
	fmt.Fprintln(a.Err)
	a.sayDraft(draft, path)
	if !f.sure("Make it? yes or no") {
		return nil, f.err
	}
	return draft, f.err
}

// sayDraft says what will be made.
func (a *terminal) sayDraft(d *app.FirstDraft, path string) {
	fmt.Fprintln(a.Err, "This will be made:")
	for _, text := range slices.Concat(d.Says, []string{fmt.Sprintf("%s holds it all; %s is a copy of the settings to edit, read again by emberquilt settings --load", path, settingsBeside(path))}) {
		for i, line := range wrapped(text, 76) {
			fmt.Fprintln(a.Err, []string{"- ", "  "}[min(i, 1)]+line)
		}
	}
	fmt.Fprintln(a.Err)
}

// begin makes the property and its first plan, and says what is due.
func (a *terminal) begin(ctx context.Context, d *app.FirstDraft, path string, from app.Environment) error {
	beside := settingsBeside(path)
	text, err := newDraft(beside)
	if err != nil {
		return err
	}
	defer text.discard()
	var b bytes.Buffer
	if err := settings.Write(&b, &d.Property); err != nil {
		return err
	}
	if _, err := text.Write(b.Bytes()); err != nil {
		return err
	}
	if err := text.complete(); err != nil {
		return err
	}
	begun, err := d.Begin(ctx, path, from)
	if err != nil {
		return unmade(err, "nothing was made")
	}
	if err := text.publish(); err != nil {
		return errors.Join(err, begun.Close())
	}
	due, err := begun.Due(ctx, app.DueOptions{})
	if err == nil {
		var o showFlags
		err = table.Due(a.Out, due, o.options(a))
	}
	if !a.json {
		fmt.Fprintf(a.Err, "\nmade %s and %s\nnext: emberquilt sheet, emberquilt show\n", path, beside)
	}
	return errors.Join(err, begun.Close())
}

// wrapped breaks a text at blanks into lines of at most so many characters.
func wrapped(text string, width int) []string {
	var lines []string
	var line strings.Builder
	length := 0
	for _, word := range strings.Fields(text) {
		long := utf8.RuneCountInString(word)
		if length > 0 && length+1+long > width {
			lines = append(lines, line.String())
			line.Reset()
			length = 0
		}
		if length > 0 {
			line.WriteByte(' ')
			length++
		}
		line.WriteString(word)
		length += long
	}
	return append(lines, line.String())
}
