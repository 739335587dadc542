package cli

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/store"
)

// form asks for one value after the other on a terminal. An answer that cannot
// be used is asked for again; an empty one leaves the value as it is.
type form struct {
	in  *bufio.Scanner
	out io.Writer
	err error
}

// errFormEnded says that the answers ended before the form did.
var errFormEnded = errors.New("the answers ended before the form did; nothing was recorded")

// ask puts a question until take accepts the answer.
func (f *form) ask(question, usual string, take func(answer string) error) {
	for f.err == nil {
		fmt.Fprint(f.out, question)
		if usual != "" {
			fmt.Fprintf(f.out, " [%s]", usual)
		}
		fmt.Fprint(f.out, ": ")
		if !f.in.Scan() {
			f.err = errors.Join(f.in.Err(), errFormEnded)
			return
		}
		answer := strings.TrimSpace(f.in.Text())
		if answer == "" {
			answer = usual
		}
		err := take(answer)
		if err == nil {
			return
		}
		fmt.Fprintln(f.out, " ", err)
	}
}

// text asks for a line of text.
func (f *form) text(question string, to *string) {
	f.ask(question, "", func(answer string) error { *to = answer; return nil })
}

// askRecord fills a record from the answers to questions and puts it on record.
func (a *app) askRecord(cmd *cobra.Command) error {
	today, err := a.day()
	if err != nil {
		return err
	}
	return a.sit(cmd.Context(), a.read, func(d *desk) error {
		f := &form{in: bufio.NewScanner(a.In), out: a.Err}
		fmt.Fprintf(a.Err, "A burn on record for %s. An empty answer leaves a thing out.\n", d.Property.Name)
		record, unit := a.fillForm(f, d.Snapshot, today)
		if f.err != nil {
			return f.err
		}
		if err := a.validateRecord(record, unit); err != nil {
			return err
		}
		sure := false
		f.ask("Put it on record? yes or no", "yes", func(answer string) error {
			sure = strings.HasPrefix(strings.ToLower(answer), "y")
			if !sure && !strings.HasPrefix(strings.ToLower(answer), "n") {
				return errors.New("accepts yes or no")
			}
			return nil
		})
		if f.err != nil {
			return f.err
		}
		if !sure {
			return a.say("nothing was recorded")
		}
		return a.changeRecord(cmd, "record a burn of "+record.Unit, func(tx *store.Tx, _ *store.Snapshot, _ string) (habitat.BurnRecord, error) {
			record.ID, err = tx.AddBurn(*record)
			return *record, err
		})
	})
}

// fillForm asks for everything that a record of a day usually holds.
func (a *app) fillForm(f *form, snapshot *store.Snapshot, today date.Day) (*habitat.BurnRecord, *habitat.Unit) {
	record := &habitat.BurnRecord{Kind: habitat.Prescribed}
	var unit *habitat.Unit
	f.ask("Unit", "", func(answer string) (err error) { unit, err = findUnit(snapshot, answer); return err })
	if f.err != nil {
		return nil, nil
	}
	record.Unit = unit.ID
	f.ask("Day, as YYYY-MM-DD", today.String(), func(answer string) (err error) {
		if record.On, err = date.ParseDay(answer); err != nil {
			return notAccepted(answer, "is not a date", "a date as YYYY-MM-DD")
		}
		record.Through = record.On
		return firstFault(record.Validate(unit, today))
	})
	f.ask("Kind: prescribed, wildfire or attempt", string(record.Kind), func(answer string) error {
		record.Kind = habitat.RecordKind(answer)
		return firstFault(record.Validate(unit, today))
	})
	f.ask(fmt.Sprintf("Acres burned, of %s; empty for the whole unit", unit.Acres), "", func(answer string) error {
		record.HasAcres = answer != ""
		if !record.HasAcres {
			return nil
		}
		acres, err := quantity.Parse(answer)
		if err != nil {
			return notAccepted(answer, "is not a number", "acres, such as 38.5")
		}
		record.Acres = quantity.Acres(acres)
		return firstFault(record.Validate(unit, today))
	})
	f.ask("Ignition: "+strings.Join(habitat.IgnitionPatterns(), ", "), "", func(answer string) error {
		record.Ignition = answer
		return firstFault(record.Validate(unit, today))
	})
	f.text("Start, as HH:MM", &record.Start)
	f.ask("End, as HH:MM", "", func(answer string) error {
		record.End = answer
		return firstFault(record.Validate(unit, today))
	})
	for more := true; more && f.err == nil; {
		f.ask(`Weather reading, as "13:00 temp=58 rh=42 wind=7 from=SW"; empty when done`, "", func(answer string) error {
			if more = answer != ""; !more {
				return nil
			}
			reading, err := habitat.ParseReading(answer)
			if err != nil {
				return err
			}
			record.Readings = append(record.Readings, reading)
			if err := firstFault(record.Validate(unit, today)); err != nil {
				record.Readings = record.Readings[:len(record.Readings)-1]
				return err
			}
			return nil
		})
	}
	f.text("Crew", &record.Crew)
	f.text("Permit or authorisation number", &record.Permit)
	f.text("Escapes or spot-overs", &record.Escapes)
	f.text("Notes", &record.Notes)
	return record, unit
}

// firstFault is the first thing that is wrong: a form asks for one at a time.
func firstFault(err error) error {
	if err == nil {
		return nil
	}
	return unjoin(err)[0]
}
