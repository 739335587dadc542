package cli

import (
	"errors"
	"fmt"
	"strconv"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/date"
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
all. A burn that is on record already is refused, not counted twice. Without a unit it
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
			if len(args) == 0 {
				return a.askRecord(cmd)
			}
			on, err := date.ParseDay(args[1])
			if err != nil {
				return usagef("DATE: %w", notAccepted(args[1], "is not a date", "a date as YYYY-MM-DD"))
			}
			return a.addRecord(cmd, args[0], on, &flags)
		},
	}
	flags.register(cmd)
	cmd.Flags().BoolVar(&flags.another, "another", false, "it is a fire of its own, though its days overlap with one on record")
	cmd.AddCommand(a.recordCorrectCommand(), a.recordWithdrawCommand(), a.recordHistoryCommand(), a.recordFilesCommand(), a.recordSheetCommand())
	return cmd
}

func (a *terminal) addRecord(cmd *cobra.Command, name string, on date.Day, flags *recordFlags) error {
	record := habitat.BurnRecord{On: on, Through: on, Kind: habitat.Prescribed}
	return a.changeRecord(cmd, "record a burn of "+name, func(tx *store.Tx, snapshot *store.Snapshot, path string) (habitat.BurnRecord, error) {
		unit, err := app.FindUnit(snapshot, name)
		if err != nil {
			return record, err
		}
		record.Unit = unit.ID
		if err := flags.apply(cmd, &record, path); err != nil {
			return record, err
		}
		if err := flags.applyShape(&record, snapshot, path); err != nil {
			return record, err
		}
		if err := a.validateRecord(&record, unit); err != nil {
			return record, err
		}
		if !flags.another {
			if err := refuseOverlap(snapshot, &record); err != nil {
				return record, err
			}
		}
		record.ID, err = tx.AddBurn(record)
		return record, err
	})
}

// changeRecord runs one change of a record and says what came of it.
func (a *terminal) changeRecord(cmd *cobra.Command, why string, do func(*store.Tx, *store.Snapshot, string) (habitat.BurnRecord, error)) error {
	at, err := a.moment()
	if err != nil {
		return err
	}
	return a.change(cmd.Context(), func(s *store.Store) error {
		var record habitat.BurnRecord
		var after *store.Snapshot
		err := s.Update(cmd.Context(), at, why, func(tx *store.Tx) error {
			before, err := tx.Snapshot()
			if err != nil {
				return err
			}
			if record, err = do(tx, before, s.Path()); err != nil {
				return err
			}
			after, err = tx.Snapshot()
			return err
		})
		if err != nil {
			return hintAtCorrection(err)
		}
		return a.say("%s", recordWords(&record, after))
	})
}

func (a *terminal) validateRecord(record *habitat.BurnRecord, unit *habitat.Unit) error {
	today, err := a.day()
	if err != nil {
		return err
	}
	return fieldFaults(record.Validate(unit, today), recordFlag)
}

// hintAtCorrection names the command that a doubled burn calls for.
func hintAtCorrection(err error) error {
	var same *store.SameBurn
	if errors.As(err, &same) {
		return fmt.Errorf("%w; accepts a burn that is not on record\nhint: emberquilt record correct %d changes the one that is", err, same.Old.ID)
	}
	return err
}

// recordWords says what a record means for the plan.
func recordWords(record *habitat.BurnRecord, snapshot *store.Snapshot) string {
	p := &snapshot.Property
	text := fmt.Sprintf("burn %d: %s, %s on %s", record.ID, record.Unit, record.Kind, record.On)
	if record.Through != record.On {
		text += " to " + record.Through.String()
	}
	if record.HasAcres {
		text += fmt.Sprintf(", %s acres", record.Acres)
	}
	season, year, ok := p.SeasonOf(record.Through)
	text += fmt.Sprintf("; program year %d", year)
	if ok {
		text += ", " + p.Seasons[season].Name
	} else {
		text += ", outside the seasons"
	}
	unit, err := app.FindUnit(snapshot, record.Unit)
	if err != nil {
		return text
	}
	reset, ok := p.LastReset(unit, snapshot.Records, year, record.Through)
	if later := laterReset(snapshot, unit, record); later != "" {
		return text + later
	}
	if ok && reset.Year == year {
		return text + "; sets the stand age back to 0"
	}
	return text + "; the stand age goes on"
}

// parseBurnID reads the number of a burn record.
func parseBurnID(text string) (int64, error) {
	id, err := strconv.ParseInt(text, 10, 64)
	if err != nil || id <= 0 {
		return 0, usagef("%s is not a number of a burn; accepts a number that emberquilt burns shows", quote(text))
	}
	return id, nil
}
