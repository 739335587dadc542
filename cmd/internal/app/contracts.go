package app

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/store"
)

// WhichContractError says that a property has several contracts and none was named.
type WhichContractError struct{ Names []string }

// Error names them.
func (e *WhichContractError) Error() string {
	return "one of the contracts must be named: " + quotedList(e.Names)
}

func quotedList(names []string) string {
	quoted := make([]string, len(names))
	for i, name := range names {
		quoted[i] = source.Quote(name)
	}
	return strings.Join(quoted, ", ")
}

// contract gives a copy of a contract that may be changed: the one that is named, or
// the only one.
func (s *Session) contract(name string) (*habitat.Contract, error) {
	var names []string
	for _, c := range s.Contracts {
		if c.Name == name || name == "" && len(s.Contracts) == 1 {
			c.Practices, c.Items = slices.Clone(c.Practices), slices.Clone(c.Items)
			c.Completions, c.Files = slices.Clone(c.Completions), slices.Clone(c.Files)
			c.Modifications = slices.Clone(c.Modifications)
			return &c, nil
		}
		names = append(names, c.Name)
	}
	switch {
	case len(names) == 0:
		return nil, &OptionError{Option: "contract", IsUnknown: true, Found: s.Property.Name + " has no contract", Accepts: "the name of one", Advice: ImportContracts}
	case name == "":
		return nil, &WhichContractError{names}
	}
	return nil, &OptionError{
		Option:    "contract",
		IsUnknown: true,
		Found:     source.Quote(name) + " is not a contract of " + s.Property.Name,
		Accepts:   "one of " + quotedList(names),
		Hint:      source.DidYouMean(name, names),
	}
}

// findPractice gives the practice of a code.
func findPractice(c *habitat.Contract, code string) (*habitat.Practice, error) {
	var codes []string
	for i := range c.Practices {
		if c.Practices[i].Code == code {
			return &c.Practices[i], nil
		}
		codes = append(codes, c.Practices[i].Code)
	}
	return nil, &source.Error{
		Position: source.Position{File: "CODE"},
		Found:    fmt.Sprintf("%s is not a practice of %s", source.Quote(code), c.Name),
		Accepts:  "one of " + strings.Join(codes, ", "),
		Hint:     source.DidYouMean(code, codes),
	}
}

// changeContract changes one contract and gives the words of the change.
func (s *Session) changeContract(ctx context.Context, name string, do func(c *habitat.Contract) (words string, err error)) (string, error) {
	c, err := s.contract(name)
	if err != nil {
		return "", err
	}
	words, err := do(c)
	if err != nil {
		return "", err
	}
	if err := optionFaults(c.Validate()); err != nil {
		return "", err
	}
	return words, s.update(ctx, words, func(tx *store.Tx) error {
		now, err := tx.Snapshot()
		if err != nil {
			return err
		}
		if now.Change.Number != s.Change.Number {
			return errors.New("the property file changed meanwhile; nothing was noted, try again")
		}
		return tx.PutContract(*c)
	})
}

// NoteCompletion notes work of a practice other than burning, in place of what was
// noted of the same unit, practice and day; undo takes that back. An empty contract
// means the only one. Work on the whole property is noted where a line is of it.
func (s *Session) NoteCompletion(ctx context.Context, contract string, done habitat.Completion, undo bool) (string, error) {
	if done.On.After(s.Today) {
		return "", badOption("date", "a date up to "+s.Today.String(), "%s is in the future", done.On)
	}
	if !(done.Applied > 0) || math.IsInf(done.Applied, 0) {
		return "", badOption("amount", "a number above 0, in acres or feet as the practice counts", "%v is not an amount", done.Applied)
	}
	return s.changeContract(ctx, contract, func(c *habitat.Contract) (string, error) {
		isWide := habitat.IsWholeProperty(done.Unit)
		if isWide {
			done.Unit = ""
		} else {
			unit, err := FindUnit(s.Snapshot, done.Unit)
			if err != nil {
				return "", err
			}
			done.Unit = unit.ID
		}
		practice, err := findPractice(c, done.Practice)
		if err != nil {
			return "", err
		}
		if practice.Burns {
			return "", &AdvisedError{Advice: RecordBurn, Fault: &source.Error{Position: source.Position{File: "CODE"},
				Found: fmt.Sprintf("applied %s of %s follow from the burns on record", practice.Measure, done.Practice), Accepts: "a practice other than burning"}}
		}
		if isWide && !undo && !slices.ContainsFunc(c.Items, func(i habitat.ContractItem) bool {
			return i.IsPropertyWide() && i.Practice == done.Practice && i.Status != habitat.Canceled
		}) {
			return "", unitFault(fmt.Sprintf("no line of %s for %s is of the %s", c.Name, done.Practice, habitat.WholeProperty), "the unit on which it was done")
		}
		at := slices.IndexFunc(c.Completions, func(o habitat.Completion) bool {
			return o.Unit == done.Unit && o.Practice == done.Practice && o.On == done.On
		})
		switch {
		case undo && at < 0:
			return "", &source.Error{Position: source.Position{File: "UNIT"}, Found: "nothing is noted of " + view.WorkWords(practice, &done), Accepts: "work that is noted"}
		case undo:
			c.Completions = slices.Delete(c.Completions, at, at+1)
			return view.WorkWords(practice, &done) + ": taken back", nil
		case at >= 0:
			c.Completions[at] = done
		default:
			c.Completions = append(c.Completions, done)
		}
		return view.AppliedWords(practice, &done), nil
	})
}

// NamePractice types or corrects the name and the standard's date of a practice; what
// is empty stays.
func (s *Session) NamePractice(ctx context.Context, contract, code, name, standard string) (string, error) {
	return s.changeContract(ctx, contract, func(c *habitat.Contract) (string, error) {
		p, err := findPractice(c, code)
		if err != nil {
			return "", err
		}
		if name != "" {
			p.Name = name
		}
		if standard != "" {
			p.Standard = standard
		}
		return view.PracticeWords(p), nil
	})
}

// AttachToContract puts a file on the list of a contract. A file of its path that is
// on the list with another checksum is replaced only for a reason, which is kept.
func (s *Session) AttachToContract(ctx context.Context, contract, path, because string) (string, error) {
	return s.changeContract(ctx, contract, func(c *habitat.Contract) (string, error) {
		file, err := s.Attach(path)
		if err != nil {
			return "", err
		}
		replaces := ""
		if i := slices.IndexFunc(c.Files, func(o habitat.Attachment) bool { return o.Path == file.Path && o.SHA256 != file.SHA256 }); i >= 0 {
			if because == "" {
				return "", &AdvisedError{Advice: SayWhyAltered, Fault: &source.Error{Position: source.Position{File: "FILE"},
					Found: fmt.Sprintf("%s belongs to %s already, and was altered since: its checksum was %s… and is %s…",
						file.Path, c.Name, c.Files[i].SHA256[:min(8, len(c.Files[i].SHA256))], file.SHA256[:8]),
					Accepts: "the file as it was, or a reason why the altered one takes its place"}}
			}
			replaces = because
		}
		c.Files = slices.DeleteFunc(c.Files, func(o habitat.Attachment) bool { return o.Path == file.Path })
		c.Files = append(c.Files, file)
		return view.BelongsWords(file.Path, c.Name, replaces), nil
	})
}

// roomFor refuses a line that a modification gave more acres than its unit, or the whole
// property, has.
func (s *Session) roomFor(c *habitat.Contract, m habitat.Modification, to habitat.LineChange) error {
	line := c.Line(m.Line)
	if to.Planned == 0 && to.Unit == "" || line == nil || c.Practice(line.Practice).Measure != habitat.InAcres {
		return nil
	}
	place, of, acres := "the "+habitat.WholeProperty, "all units", quantity.Acres(0)
	if line.IsPropertyWide() {
		acres = habitat.TotalAcres(func(yield func(*habitat.Unit) bool) {
			for i := range s.Units {
				if !yield(&s.Units[i]) {
					return
				}
			}
		})
	} else {
		unit, err := FindUnit(s.Snapshot, line.Unit)
		if err != nil {
			return nil // a line of a unit that is gone may be put right
		}
		place, of, acres = view.Plain(unit.ID), "the unit", unit.Acres
	}
	most := float64(habitat.MostPlanned(acres))
	if line.Planned <= most {
		return nil
	}
	option := "planned"
	if to.Unit != "" {
		option = "unit"
	}
	return badOption(
		option,
		fmt.Sprintf("up to %s, the acres of %s and a tenth", view.Figure(most), of),
		"%s acres are more than %s has, %s acres",
		view.Figure(line.Planned),
		place,
		view.Figure(float64(acres)),
	)
}

// ModifyContract changes one line of a contract, or, with line 0, cancels or closes
// all that are open. It gives the words of what was done.
func (s *Session) ModifyContract(ctx context.Context, contract string, m habitat.Modification, to habitat.LineChange) (string, error) {
	if m.On.IsZero() {
		m.On = s.Today
	}
	if m.On.After(s.Today) {
		return "", badOption("on", "a date up to "+s.Today.String(), "%s is in the future", m.On)
	}
	return s.changeContract(ctx, contract, func(c *habitat.Contract) (string, error) {
		if !c.FiscalStart.Of(m.On).IsUsual() {
			return "", badOption("on", "a date in a fiscal year from 1990 on", "%s is before contracts of this kind", m.On)
		}
		switch {
		case habitat.IsWholeProperty(to.Unit):
			to.Unit = habitat.WholeProperty
		case to.Unit != "":
			unit, err := FindUnit(s.Snapshot, to.Unit)
			if err != nil {
				return "", err
			}
			to.Unit = unit.ID
		}
		for _, year := range []date.FiscalYear{to.Year, to.Until} {
			if year != 0 && !year.IsUsual() {
				return "", badOption("year", "a fiscal year of four digits, 1990 to 2100, such as 2027", "%d is not a fiscal year of a contract", int(year))
			}
		}
		lines := []int{m.Line}
		if m.Line == 0 {
			lines = nil
			for _, item := range c.Items {
				if item.Status == habitat.Open {
					lines = append(lines, item.ID)
				}
			}
		}
		var words []string
		for _, line := range lines {
			m.Line = line
			done, err := c.Modify(m, to)
			if err := optionFaults(err); err != nil {
				return "", err
			}
			if err := s.roomFor(c, m, to); err != nil {
				return "", err
			}
			words = append(words, fmt.Sprintf("%s line %d of %s: %s → %s; %s", m.Kind, line, c.Name, done.Was, done.Is, m.Reason))
		}
		if len(words) == 0 {
			return "", badOption("line", "a contract with a line that is open", "%s has none", c.Name)
		}
		return strings.Join(words, "\n"), nil
	})
}

// CreditEarly answers whether a contract credits work that was done before its year.
func (s *Session) CreditEarly(ctx context.Context, contract string, early habitat.EarlyCredit) (string, error) {
	return s.changeContract(ctx, contract, func(c *habitat.Contract) (string, error) {
		c.Early = early
		return fmt.Sprintf("%s: work before its year is %s", c.Name, early), nil
	})
}
