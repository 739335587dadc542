package cli

import (
	"context"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/view"
)

func (a *terminal) recordCorrectCommand() *cobra.Command {
	var flags recordFlags
	var because string
	var ask bool
	cmd := &cobra.Command{
		Use:   "correct NUMBER --because REASON",
		Short: "Correct a record, as a new version with its reason",
		Long: withStatus(`Correct writes a new version of a burn record with what the flags name; all else
stays, and the version before stays readable. Readings, notices and files are
added to those that are there. With --ask it asks for each value, what stands offered.`, statusBadInput),
		Args: exactArgs("NUMBER"),
		RunE: func(cmd *cobra.Command, args []string) error {
			flags.note(cmd)
			return a.runCorrect(cmd.Context(), args[0], &flags, because, ask)
		},
	}
	flags.register(cmd)
	cmd.Flags().Var(&flags.on, "on", "the first day")
	cmd.Flags().StringVar(&because, "because", "", "`REASON`, kept with the new version")
	cmd.Flags().BoolVar(&ask, "ask", false, "ask for each value, question by question")
	return cmd
}

func (a *terminal) runCorrect(ctx context.Context, number string, flags *recordFlags, because string, ask bool) error {
	id, err := parseBurnID(number)
	if err != nil {
		return err
	}
	if because == "" {
		return usagef("--because is missing; accepts the reason of the correction, which is kept with it")
	}
	if ask {
		return a.askCorrection(ctx, id, because)
	}
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		change, err := flags.change(s)
		if err != nil {
			return err
		}
		noted, err := s.CorrectBurn(ctx, id, change, because)
		return a.sayNoted(noted, err)
	})
}

func (a *terminal) recordWithdrawCommand() *cobra.Command {
	var because string
	cmd := &cobra.Command{
		Use:   "withdraw NUMBER --because REASON",
		Short: "Take back a record of a burn that never was",
		Long:  withStatus(`Withdraw takes a burn from the record; its versions stay readable.`, statusBadInput),
		Args:  exactArgs("NUMBER"),
		RunE:  func(cmd *cobra.Command, args []string) error { return a.runWithdraw(cmd.Context(), args[0], because) },
	}
	cmd.Flags().StringVar(&because, "because", "", "`REASON`, kept with the record")
	return cmd
}

func (a *terminal) runWithdraw(ctx context.Context, number, because string) error {
	id, err := parseBurnID(number)
	if err != nil {
		return err
	}
	if because == "" {
		return usagef("--because is missing; accepts the reason, which is kept with the record")
	}
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		if err := s.WithdrawBurn(ctx, id, because); err != nil {
			return err
		}
		return a.say("burn %d is withdrawn", id)
	})
}

func (a *terminal) recordHistoryCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "history NUMBER",
		Short: "Show all versions of a record",
		Long:  withStatus(`History shows every version of a burn record, with when and why it was written.`, statusBadInput),
		Args:  exactArgs("NUMBER"),
		RunE:  func(cmd *cobra.Command, args []string) error { return a.runHistory(cmd.Context(), args[0]) },
	}
}

func (a *terminal) runHistory(ctx context.Context, number string) error {
	id, err := parseBurnID(number)
	if err != nil {
		return err
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		versions, err := s.BurnHistory(ctx, id)
		switch {
		case err != nil:
			return err
		case a.json:
			return a.printJSON(versions)
		}
		// The first version is shown whole, and of the later ones what they change.
		var before *view.BurnVersion
		for i := range versions {
			v := &versions[i]
			a.prose("version %d, %s: %s", v.Version, v.At, v.Reason)
			for _, line := range v.Since(before) {
				a.prose("  %s", line)
			}
			before = v
		}
		return nil
	})
}

func (a *terminal) recordFilesCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "files",
		Short: "Check that the files of the records are where and what they were",
		Long: withStatus(`Files reads every file that belongs to a record and compares its checksum. It
lists those that are gone, moved or altered and then ends with status 1. A file that is
gone is looked for by its checksum in the property file's folder and those below it.`, statusBadInput),
		Args: exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error { return a.runFiles(cmd.Context()) },
	}
}

func (a *terminal) runFiles(ctx context.Context) error {
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		states := s.RecordFiles()
		if a.json {
			if err := a.printJSON(states); err != nil {
				return err
			}
		} else {
			for _, s := range states {
				fmt.Fprintf(a.Out, "burn %d: %s: %s\n", s.Burn, s.Path, s.State)
			}
			if len(states) == 0 {
				fmt.Fprintln(a.Out, "no record has a file")
			}
		}
		if slices.ContainsFunc(states, func(s view.FileState) bool { return !s.IsGood }) {
			return answered{statusFailed}
		}
		return nil
	})
}
