package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

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
	return fold(strings.TrimSpace(text) + "\n\nExit status: " + strings.Join(words, ", ") + ".")
}

// helpWidth is how wide the lines of a help text may be.
const helpWidth = 88

// fold breaks lines that are too wide, at blanks.
func fold(text string) string {
	var all []string
	for _, line := range strings.Split(text, "\n") {
		for len(line) > helpWidth {
			at := strings.LastIndexByte(line[:helpWidth], ' ')
			if at <= 0 {
				break
			}
			all, line = append(all, line[:at]), line[at+1:]
		}
		all = append(all, line)
	}
	return strings.Join(all, "\n")
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
