package cli

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// form asks for one value after the other on a terminal. An answer that cannot
// be used is asked for again; an empty one leaves the value as it is, and
// formNothing empties it.
type form struct {
	ctx     context.Context
	answers chan string
	// ended is the error that ended the answers; read after answers is closed.
	ended error
	out   io.Writer
	err   error
	// nothing says what an end before its time leaves.
	nothing string
}

// formNothing is the answer that empties a value.
const formNothing = "-"

// newForm begins a form. Its answers are read beside it, so that Ctrl-C ends the
// form while it waits for one.
func newForm(ctx context.Context, in io.Reader, out io.Writer) *form {
	f := &form{ctx: ctx, answers: make(chan string), out: out, nothing: "nothing was recorded"}
	go func() {
		defer close(f.answers)
		lines := bufio.NewScanner(in)
		for lines.Scan() {
			select {
			case f.answers <- lines.Text():
			case <-ctx.Done():
				return
			}
		}
		f.ended = lines.Err()
	}()
	return f
}

// ask puts a question until take accepts the answer.
func (f *form) ask(question, usual string, take func(answer string) error) {
	for f.err == nil {
		fmt.Fprint(f.out, question)
		if usual != "" {
			fmt.Fprintf(f.out, " [%s]", usual)
		}
		fmt.Fprint(f.out, ": ")
		var answer string
		var more bool
		select {
		case answer, more = <-f.answers:
		case <-f.ctx.Done():
			fmt.Fprintln(f.out)
			f.err = &app.Interrupted{Done: f.nothing}
			return
		}
		if !more {
			f.err = errors.Join(f.ended, fmt.Errorf("the answers ended before the form did; %s", f.nothing))
			return
		}
		switch answer = strings.TrimSpace(answer); answer {
		case "":
			answer = usual
		case formNothing:
			answer = ""
		}
		err := take(answer)
		if err == nil {
			return
		}
		fmt.Fprintln(f.out, " ", err)
	}
}

// value asks for one value of a record. What set or the record refuses is asked
// for again, and the record is as it was.
func (f *form) value(r *recordForm, question, usual string, set func(answer string) error) {
	f.ask(question, usual, func(answer string) error {
		before := *r.record
		err := set(answer)
		if err == nil {
			err = firstFault(r.record.Validate(r.unit, r.session.Today))
		}
		if err != nil {
			*r.record = before
		}
		return err
	})
}

// recordForm is a record that is being filled.
type recordForm struct {
	record *habitat.BurnRecord
	unit   *habitat.Unit
	// session is the property as it was when the form began.
	session *app.Session
}

// askRecord fills a record from the answers to questions and puts it on record.
func (a *terminal) askRecord(ctx context.Context) error {
	r, sure := &recordForm{}, false
	err := a.session(ctx, app.ToRead, func(s *app.Session) error {
		r.session, r.record = s, &habitat.BurnRecord{On: s.Today, Through: s.Today, Kind: habitat.Prescribed}
		f := newForm(ctx, a.In, a.Err)
		fmt.Fprintf(a.Err, "A burn on record for %s. Enter takes what stands in [ ] or leaves a thing out,\n%q empties it, Ctrl-C records nothing.\n", s.Property.Name, formNothing)
		f.ask("Unit", "", func(answer string) (err error) { r.unit, err = app.FindUnit(s.Snapshot, answer); return err })
		if f.err != nil {
			return f.err
		}
		r.record.Unit = r.unit.ID
		f.fill(r)
		question := "Put it on record? yes or no"
		if o := s.Overlapping(r.record); o != nil {
			fmt.Fprintf(a.Err, "%s.\n", view.OverlapWords(o))
			question = "Put it on record as a fire of its own? yes or no"
		}
		sure = f.sure(question)
		return f.err
	})
	return a.keepForm(ctx, r, sure, err, func(s *app.Session) (*view.NotedBurn, error) { return s.AddBurn(ctx, *r.record) })
}

// askCorrection asks for each value of a record anew; what stands is offered.
func (a *terminal) askCorrection(ctx context.Context, id int64, because string) error {
	r, sure := &recordForm{}, false
	err := a.session(ctx, app.ToRead, func(s *app.Session) error {
		record, unit, err := s.Burn(id)
		if err != nil {
			return err
		}
		r.session, r.record, r.unit = s, &record, unit
		f := newForm(ctx, a.In, a.Err)
		fmt.Fprintf(a.Err, "Burn %d of %s. Enter takes what stands in [ ], %q empties it, Ctrl-C changes nothing.\n", id, record.Unit, formNothing)
		f.fill(r)
		sure = f.sure("Put the correction on record? yes or no")
		return f.err
	})
	return a.keepForm(ctx, r, sure, err, func(s *app.Session) (*view.NotedBurn, error) { return s.ReplaceBurn(ctx, *r.record, because) })
}

// keepForm puts a form on record that was filled without an error and is meant.
func (a *terminal) keepForm(ctx context.Context, r *recordForm, sure bool, err error, put func(*app.Session) (*view.NotedBurn, error)) error {
	if err != nil {
		return err
	}
	if !sure {
		return a.say("nothing was recorded")
	}
	a.property = r.session.Store.Path() // it was found and said before
	return a.session(ctx, app.ToChange, func(s *app.Session) error { return a.sayNoted(put(s)) })
}

// sure asks whether to go on.
func (f *form) sure(question string) (yes bool) {
	f.ask(question, "yes", func(answer string) error {
		word := strings.ToLower(answer)
		yes = strings.HasPrefix(word, "y")
		if !yes && !strings.HasPrefix(word, "n") {
			return errors.New("accepts yes or no")
		}
		return nil
	})
	return yes
}

// fill asks for everything that a record holds.
func (f *form) fill(r *recordForm) {
	b := r.record
	text := func(question string, to *string) {
		f.value(r, question, *to, func(answer string) error { *to = answer; return nil })
	}
	day := func(question string, usual date.Day, set func(date.Day)) {
		f.value(r, question, usual.String(), func(answer string) error {
			on, err := date.ParseDay(answer)
			if err != nil {
				return notAccepted(answer, "is not a date", "a date as YYYY-MM-DD")
			}
			set(on)
			return nil
		})
	}
	oneDay := b.Through == b.On
	day("First day, as YYYY-MM-DD", b.On, func(on date.Day) {
		b.On = on
		if oneDay || b.Through.Before(on) {
			b.Through = on
		}
	})
	day("Last day", b.Through, func(on date.Day) { b.Through = on })
	f.value(r, "Kind: prescribed, wildfire or attempt", string(b.Kind), func(answer string) error {
		b.Kind = habitat.RecordKind(answer)
		return nil
	})
	f.value(r, fmt.Sprintf("Acres burned, of %s; nothing for the whole unit", r.unit.Acres), acresAnswer(b), func(answer string) error {
		if b.HasAcres = answer != ""; !b.HasAcres {
			b.Acres = 0
			return nil
		}
		acres, err := quantity.Parse(answer)
		if err != nil {
			return notAccepted(answer, "is not a number", "acres, such as 38.5")
		}
		b.Acres = quantity.Acres(acres)
		return nil
	})
	text("Purpose", &b.Purpose)
	text("Ignition: "+strings.Join(habitat.IgnitionPatterns(), ", "), &b.Ignition)
	f.value(r, "Start, as HH:MM", b.Start, func(answer string) error {
		b.Start = answer
		if b.On == b.Through && b.End < b.Start {
			b.End = "" // it is asked for next
		}
		return nil
	})
	text("End, as HH:MM", &b.End)
	f.fillReadings(r)
	text("Fuel moisture", &b.FuelMoisture)
	text("Soil moisture", &b.SoilMoisture)
	text("Crew", &b.Crew)
	text("Permit or authorization number", &b.Permit)
	f.more(`Who was told, and when, as "fire department, 08:00"`, len(b.Notified), func(answer string) error {
		b.Notified = append(b.Notified, parseNotification(answer))
		return nil
	})
	f.share(r, "Share of the fuel consumed, 0 to 1", &b.Consumed)
	f.share(r, "Share of the woody cover top-killed, 0 to 1", &b.TopKilled)
	text("Escapes or spot-overs", &b.Escapes)
	text("End of mop-up, as YYYY-MM-DD HH:MM", &b.MopUpEnd)
	f.more("Photo, map or other file, by its path", len(b.Files), func(answer string) error {
		file, err := attach(r.session, answer)
		if err == nil {
			b.Files = append(b.Files, file)
		}
		return err
	})
	text("Notes", &b.Notes)
}

func acresAnswer(b *habitat.BurnRecord) string {
	if !b.HasAcres {
		return ""
	}
	return view.Figure(float64(b.Acres))
}

// more asks for one more thing of a list until the answer is empty.
func (f *form) more(question string, count int, add func(answer string) error) {
	for again := true; again && f.err == nil; {
		words := question
		if count > 0 {
			words += fmt.Sprintf("; %d on record", count)
		}
		f.ask(words+"; Enter when done", "", func(answer string) error {
			if again = answer != ""; !again {
				return nil
			}
			err := add(answer)
			if err == nil {
				count++
			}
			return err
		})
	}
}

func (f *form) fillReadings(r *recordForm) {
	b := r.record
	f.more(`Weather reading, as "13:00 temp=58 rh=42 wind=7 from=SW"`, len(b.Readings), func(answer string) error {
		reading, err := habitat.ParseReading(answer)
		if err != nil {
			return err
		}
		b.Readings = append(b.Readings, reading)
		if err := firstFault(b.Validate(r.unit, r.session.Today)); err != nil {
			b.Readings = b.Readings[:len(b.Readings)-1]
			return err
		}
		return nil
	})
}

func (f *form) share(r *recordForm, question string, to **quantity.Share) {
	usual := ""
	if *to != nil {
		usual = fmt.Sprint(float64(**to))
	}
	f.value(r, question, usual, func(answer string) error {
		if answer == "" {
			*to = nil
			return nil
		}
		v, err := quantity.Parse(answer)
		if err != nil {
			return notAccepted(answer, "is not a number", "a share from 0 to 1, such as 0.8")
		}
		share := quantity.Share(v)
		*to = &share
		return nil
	})
}

// firstFault is the first thing that is wrong: a form asks for one at a time.
func firstFault(err error) error {
	if err == nil {
		return nil
	}
	return unjoin(err)[0]
}
