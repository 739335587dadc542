package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"emberquilt/habitat/source"
)

// caution stands wherever a window, a date or a prescription is shown.
const caution = `Emberquilt is a planning aid. A date, a window or a plan that it shows is
neither a permit nor a decision to burn: local law, fire weather warnings and a
qualified burn boss decide on the day.`

func quote(text string) string { return source.Quote(text) }

var statusWords = map[int]string{
	statusDone:        "done",
	statusFailed:      "failed",
	statusUsage:       "wrong usage",
	statusBadInput:    "bad input",
	statusNoPlan:      "no plan exists",
	statusInterrupted: "interrupted",
}

// withStatus ends a help text with the exit statuses that the command can
// have; failed, wrong usage and interrupted are possible everywhere.
func withStatus(text string, more ...int) string {
	all := append([]int{statusDone, statusFailed, statusUsage}, more...)
	all = append(all, statusInterrupted)
	words := make([]string, len(all))
	for i, status := range all {
		words[i] = fmt.Sprintf("%d %s", status, statusWords[status])
	}
	return strings.TrimSpace(text) + "\n\nExit status: " + strings.Join(words, ", ") + "."
}

// folded gives a help function that folds a command's text when it is asked for: every
// command line builds all commands, and few of them show a help.
func folded(help func(*cobra.Command, []string)) func(*cobra.Command, []string) {
	return func(cmd *cobra.Command, args []string) {
		cmd.Long = fold(cmd.Long)
		help(cmd, args)
	}
}

// helpWidth is how wide the lines of a help text may be.
const helpWidth = 80

// fold sets a help text anew: paragraphs that stand at the margin fill their lines, and
// what is set in ("  name   what it is") hangs under its words.
func fold(text string) string {
	var all []string
	for _, block := range strings.Split(text, "\n\n") {
		var lines []string
		for _, line := range strings.Split(block, "\n") {
			last := len(lines) - 1
			switch indent := len(line) - len(strings.TrimLeft(line, " ")); {
			case indent == 0 && last >= 0 && !strings.HasPrefix(lines[last], " ") && !strings.HasPrefix(line, "\t"),
				indent > 2 && last >= 0 && indent == hang(lines[last]): // goes on
				lines[last] += " " + strings.TrimSpace(line)
			default:
				lines = append(lines, line)
			}
		}
		for i, line := range lines {
			lines[i] = foldLine(line)
		}
		all = append(all, strings.Join(lines, "\n"))
	}
	return strings.Join(all, "\n\n")
}

// hang is where the words of a line that is set in begin: behind its name, where two
// blanks or more part them, else where the line begins.
func hang(line string) int {
	body := strings.TrimLeft(line, " ")
	indent := len(line) - len(body)
	if at := strings.Index(body, "  "); indent > 0 && at > 0 {
		return len(line) - len(strings.TrimLeft(body[at:], " "))
	}
	return indent
}

func foldLine(line string) string {
	if strings.HasPrefix(line, "\t") { // a command to copy, from the library's own help
		return line
	}
	at := hang(line)
	lines := wrapped(line[at:], helpWidth-at)
	return line[:at] + strings.Join(lines, "\n"+strings.Repeat(" ", at))
}

// flagsTemplate is cobra's usage with the words of flags kept within the width.
func flagsTemplate(template string) string {
	cobra.AddTemplateFunc("folded", func(f *pflag.FlagSet) string { return f.FlagUsagesWrapped(helpWidth) })
	template = strings.ReplaceAll(template, ".LocalFlags.FlagUsages", "folded .LocalFlags")
	return strings.ReplaceAll(template, ".InheritedFlags.FlagUsages", "folded .InheritedFlags")
}

// helpCommand shows a command's help; an unknown topic is a usage error.
func helpCommand(root *cobra.Command) *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "Show the help of a command",
		Long:  withStatus("Help shows what a command does, its flags and its exit statuses."),
		RunE: func(_ *cobra.Command, args []string) error {
			cmd, rest, err := root.Find(args)
			if err != nil || cmd == root && len(rest) > 0 {
				return usagef("there is no command %s", quote(strings.Join(args, " ")))
			}
			return cmd.Help()
		},
	}
}
