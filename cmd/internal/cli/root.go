package cli

import (
	"errors"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"emberquilt/habitat/alias"
	"emberquilt/habitat/source"
)

// Groups under which help lists the commands.
const (
	groupStart    = "start"
	groupProperty = "property"
	groupPlan     = "plan"
	groupRecord   = "record"
	groupPaper    = "paper"
	groupBare     = "bare"
)

// root builds the whole tree of commands.
func (a *terminal) root() *cobra.Command {
	isVersionAsked := false
	root := &cobra.Command{
		Use:   "emberquilt",
		Short: "Plan prescribed burns of habitat units over years",
		Long: `Emberquilt plans prescribed burns: which unit burns in which year and season, so
that every unit keeps its return interval, the mix of stand ages stays as wanted,
and crew, budget and neighbors are respected; with a proof of how good the plan is.

Begin with "emberquilt demo", or with "emberquilt new" and "emberquilt import".

` + caution,
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          knownCommand,
		PersistentPreRun: func(cmd *cobra.Command, _ []string) {
			if a.keeps != nil {
				a.keeps.Store(cmd.Flags().Lookup("seconds") != nil || cmd.Name() == "page")
			}
		},
		RunE: func(cmd *cobra.Command, _ []string) error {
			if isVersionAsked {
				return a.printVersion()
			}
			return cmd.Help()
		},
	}
	root.Flags().BoolVar(&isVersionAsked, "version", false, "show the program's version, as emberquilt version does")
	flags := root.PersistentFlags()
	flags.BoolVar(&a.json, "json", false, "print the result as JSON, errors too")
	flags.StringVar(&a.property, "property", "", "property `FILE` (default: the only *.emberquilt in this folder)")
	flags.BoolVar(&a.replace, "replace", false, "let a file that is written take the place of one that emberquilt did not write")
	flags.StringVar(&a.by, "by", "", "`NAME` of who makes the change, kept with it (default: the one that emberquilt me keeps)")
	flags.Var(&a.today, "today", "take this `DATE` as today's")
	flags.Lookup("today").Hidden = true
	root.AddGroup(
		&cobra.Group{ID: groupStart, Title: "To begin:"},
		&cobra.Group{ID: groupProperty, Title: "A property:"},
		&cobra.Group{ID: groupPlan, Title: "Its plan:"},
		&cobra.Group{ID: groupRecord, Title: "Through the year:"},
		&cobra.Group{ID: groupPaper, Title: "Papers and files:"},
		&cobra.Group{ID: groupBare, Title: "Without a property file:"},
	)
	a.addCommands(root)
	root.SetHelpCommand(helpCommand(root))
	root.SetHelpFunc(folded(root.HelpFunc()))
	root.SetUsageTemplate(flagsTemplate(root.UsageTemplate()))
	root.InitDefaultHelpFlag()
	root.InitDefaultCompletionCmd()
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error { return &usageError{flagFault(cmd, err)} })
	asUsageErrors(root)
	readOldOptions(root)
	return root
}

// knownCommand refuses words after the program's name that are not commands.
func knownCommand(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	text := "there is no command " + quote(args[0])
	if near := cmd.SuggestionsFor(args[0]); len(near) > 0 {
		text += "\nhint: did you mean " + strings.Join(near, " or ") + "?"
	}
	return usagef("%s", text)
}

// asUsageErrors makes every command's complaint about its arguments a usage
// error: cobra's own hook sees flags only.
func asUsageErrors(cmd *cobra.Command) {
	if check := cmd.Args; check != nil {
		cmd.Args = func(cmd *cobra.Command, args []string) error {
			if err := check(cmd, args); err != nil {
				return &usageError{err}
			}
			return nil
		}
	}
	for _, sub := range cmd.Commands() {
		asUsageErrors(sub)
	}
}

// flagFault rewords what the flag library says into the form of our errors.
func flagFault(cmd *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	if errors.As(err, &unknown) && len(unknown.GetSpecifiedName()) > 1 {
		var names []string
		cmd.Flags().VisitAll(func(f *pflag.Flag) {
			if !f.Hidden {
				names = append(names, "--"+f.Name)
			}
		})
		if hint := source.DidYouMean("--"+unknown.GetSpecifiedName(), names); hint != "" {
			return usagef("%w\nhint: %s", err, hint)
		}
		return err
	}
	var bare *pflag.ValueRequiredError
	if errors.As(err, &bare) {
		return usagef("--%s: its value is missing; accepts a value after it", bare.GetFlag().Name)
	}
	var bad *pflag.InvalidValueError
	if !errors.As(err, &bad) {
		return err
	}
	name, value := bad.GetFlag().Name, quote(bad.GetValue())
	switch bad.GetFlag().Value.Type() {
	case "bool":
		return usagef("--%s: %s is not a yes or no; accepts true or false", name, value)
	case "float64", "float64Slice":
		return usagef("--%s: %s is not a number; accepts a number such as 0.5", name, value)
	case "int", "int64", "uint64", "intSlice":
		return usagef("--%s: %s is not a whole number; accepts a whole number such as 5", name, value)
	}
	return usagef("--%s: %w", name, bad.Unwrap()) // a value of ours says what it accepts
}

// exactArgs wants these arguments, no more and no fewer.
func exactArgs(names ...string) cobra.PositionalArgs { return argsBetween(len(names), names...) }

// atLeast wants these arguments or more of them.
func atLeast(names ...string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) < len(names) {
			return usagef("%s is missing; accepts %s", names[len(args)], strings.Join(names, " "))
		}
		return nil
	}
}

// argsBetween wants at least the first least of these arguments, and no more
// than are named.
func argsBetween(least int, names ...string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) < least {
			return usagef("%s is missing; accepts %s", names[len(args)], strings.Join(names, " "))
		}
		if len(args) > len(names) {
			if len(names) == 0 {
				return usagef("%s is one word too many; accepts flags only", quote(args[0]))
			}
			return usagef("%s is one word too many; accepts %s", quote(args[len(names)]), strings.Join(names, " "))
		}
		return nil
	}
}

// readOldOptions lets commands read the old spellings of their options.
func readOldOptions(cmd *cobra.Command) {
	_, path, _ := strings.Cut(cmd.CommandPath(), " ")
	if alias.OldOptions(path) != nil {
		cmd.Flags().SetNormalizeFunc(func(_ *pflag.FlagSet, name string) pflag.NormalizedName {
			return pflag.NormalizedName(alias.Option(path, name))
		})
	}
	for _, below := range cmd.Commands() {
		readOldOptions(below)
	}
}
