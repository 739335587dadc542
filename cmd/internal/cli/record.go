package cli

import (
	"context"
	"errors"
	"fmt"
	"strconv"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/date"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/store"
)

func (a *terminal) recordCommand() *cobra.Command {
	var flags recordFlags
	cmd := &cobra.Command{
		Use:   "record [UNIT DATE]",
		Short: "Put a burn, a wildfire or an attempt on record",
		Long: withStatus(`Record notes a fire on a unit: a prescribed burn, a wildfire, or an attempt that
came to nothing. It says in which program year and season the burn counts and
whether it sets the stand age back to 0. Nothing that is recorded is overwritten:
"record correct" writes a new version with its reason, "record history" shows them
all. Mowing, disking, herbicide and grazing are recorded the same way: they are no
burns, and set the stand age back only where the settings say so
(treatments_reset_age). A burn that is on record already is refused, not counted twice. Without a unit it
asks for everything, question by question.`, statusBadInput),
		Example: `  emberquilt record "Creek Patch" 2026-11-20 --acres 11.3 --start 12:10 --end 14:40 \
      --ignition strip-heading --reading "13:00 temp=58 rh=42 wind=7 from=SW"
  emberquilt record correct 17 --acres 9.5 --because "measured on foot"
  emberquilt record history 17`,
		GroupID: groupRecord,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return nil
			}
			return exactArgs("UNIT", "DATE")(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			flags.note(cmd)
			if len(args) == 0 {
				return a.askRecord(cmd.Context())
			}
			return a.runRecord(cmd.Context(), args[0], args[1], &flags)
		},
	}
	flags.register(cmd)
	cmd.Flags().BoolVar(&flags.another, "another", false, "it is a fire of its own, though its days overlap with one on record")
	cmd.AddCommand(a.recordCorrectCommand(), a.recordWithdrawCommand(), a.recordHistoryCommand(), a.recordFilesCommand(), a.recordSheetCommand())
	return cmd
}

func (a *terminal) runRecord(ctx context.Context, unit, day string, flags *recordFlags) error {
	on, err := date.ParseDay(day)
	if err != nil {
		return usagef("DATE: %w", notAccepted(day, "is not a date", "a date as YYYY-MM-DD"))
	}
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		change, err := flags.change(s)
		if err != nil {
			return err
		}
		noted, err := s.RecordBurn(ctx, unit, on, change, flags.another)
		return a.sayNoted(noted, err)
	})
}

// sayNoted says what came of a change of the records.
func (a *terminal) sayNoted(noted *view.NotedBurn, err error) error {
	var same *store.SameBurn
	var other *app.OverlapError
	switch {
	case errors.As(err, &same):
		return fmt.Errorf("%w; accepts one that is not on record\nhint: emberquilt record correct %d changes the one that is", err, same.Old.ID)
	case errors.As(err, &other):
		return &source.Error{Position: source.Position{File: "DATE"}, Found: other.Error(), Accepts: "a fire whose days do not overlap with one on record",
			Hint: fmt.Sprintf("emberquilt record correct %d changes the one on record; --another says that this is a fire of its own", other.Other.ID)}
	case err != nil:
		return namedAs(err, recordFlag)
	}
	return a.say("%s", noted.Words())
}

// parseBurnID reads the number of a burn record.
func parseBurnID(text string) (int64, error) {
	id, err := strconv.ParseInt(text, 10, 64)
	if err != nil || id <= 0 {
		return 0, usagef("%s is not a number of a burn; accepts a number that emberquilt burns shows", quote(text))
	}
	return id, nil
}
