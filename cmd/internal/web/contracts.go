package web

import (
	"context"
	"errors"
	"net/http"
	"path/filepath"
	"strconv"
	"strings"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/report/table"
	"emberquilt/report/view"
)

// contractScreen registers what the screen of the contracts asks.
func (s *Server) contractScreen(mux *http.ServeMux) {
	s.reads(mux, "contracts", (*property).contracts)
	writes(s, mux, "contracts/hold", holdLine)
	writes(s, mux, "contracts/{change}", changeContract)
}

// shownContract is what the screen shows of a contract: what its packet says, without
// map and burns.
type shownContract struct {
	Contract      string                 `json:"contract"`
	Number        string                 `json:"number,omitempty"`
	Client        string                 `json:"client,omitempty"`
	FiscalWords   string                 `json:"fiscal_year_is"`
	Early         string                 `json:"early_work"`
	Practices     []view.PracticeSum     `json:"practices"`
	Schedule      []shownLine            `json:"schedule"`
	Modifications []view.ModificationRow `json:"modifications"`
	Files         []view.FileRow         `json:"files"`
	Warnings      []string               `json:"warnings"`
	// Noted is the work other than burning that was noted.
	Noted []habitat.Completion `json:"noted"`
}

// shownLine is a line with what remains of it after its time.
type shownLine struct {
	view.ScheduleRow
	Behind float64 `json:"behind"`
}

// contracts gives what the contracts plan, what was done and how plans hold to them.
func (p *property) contracts(ctx context.Context, s *app.Session, _ question) (any, error) {
	lines, err := compactSheet(table.Contracts(s.Contracts))
	if err != nil {
		return nil, err
	}
	all := []shownContract{}
	err = s.Packets(ctx, func(packet *view.Packet) error {
		one := shownContract{
			Contract:      packet.Contract,
			Number:        packet.Number,
			Client:        packet.Client,
			FiscalWords:   packet.FiscalWords,
			Early:         packet.Early,
			Practices:     packet.Practices,
			Schedule:      []shownLine{},
			Modifications: packet.Modifications,
			Files:         packet.Files,
			Warnings:      packet.Warnings,
			Noted:         []habitat.Completion{},
		}
		for i := range packet.Schedule {
			one.Schedule = append(one.Schedule, shownLine{packet.Schedule[i], packet.Schedule[i].BehindIn(packet.FiscalYear)})
		}
		for i := range s.Contracts {
			if s.Contracts[i].Name == packet.Contract {
				for _, done := range s.Contracts[i].Completions {
					done.Unit = done.Place()
					one.Noted = append(one.Noted, done)
				}
			}
		}
		all = append(all, one)
		return nil
	})
	if err != nil {
		return nil, err
	}
	return map[string]any{"contracts": all, "lines": lines, "whole_property": habitat.WholeProperty, "cautions": view.Cautions()}, nil
}

// contractWish says what becomes of a contract, as it was typed.
type contractWish struct {
	Contract string `json:"contract"`
	// Line is the number of a line; 0, of what is canceled or closed, means all that
	// are open.
	Line int `json:"line"`
	// Planned, Year and Unit are what the line has from now on.
	Planned string `json:"planned"`
	Year    string `json:"year"`
	Unit    string `json:"unit"`
	// Practice is the code of one; Name and Standard are what is said of it, Amount was
	// done.
	Practice string `json:"practice"`
	Name     string `json:"name"`
	Standard string `json:"standard"`
	Amount   string `json:"amount"`
	Undo     bool   `json:"undo"`
	// Early answers whether early work is credited.
	Early string `json:"early"`
	// Path or Dropped is a file below the folder of the property.
	Path    string       `json:"path"`
	Dropped *droppedFile `json:"dropped"`
	// On is the day of the work, or of the agreement; Number that of the modification.
	On      *string `json:"on"`
	Number  string  `json:"number"`
	Notes   string  `json:"notes"`
	Because string  `json:"because"`
}

// changeContract modifies a line, notes work, names a practice, answers whether early
// work counts, or attaches a file.
func changeContract(ctx context.Context, s *app.Session, in contractWish, r *http.Request) (any, error) {
	words, err := in.change(ctx, s, r.PathValue("change"))
	var which *app.WhichContractError
	if errors.As(err, &which) {
		err = optionFault("contract", "one of "+strings.Join(which.Names, ", "), "it is missing")
	}
	if err != nil {
		return nil, err
	}
	return map[string]any{"words": strings.Split(words, "\n")}, nil
}

func (in *contractWish) change(ctx context.Context, s *app.Session, change string) (string, error) {
	switch kind := habitat.ModificationKind(change); kind {
	case habitat.Amend, habitat.Move, habitat.Extend, habitat.CancelLine, habitat.CloseLine:
		return in.modify(ctx, s, kind)
	}
	switch change {
	case "done":
		return in.note(ctx, s)
	case "practice":
		return s.NamePractice(ctx, in.Contract, in.Practice, strings.TrimSpace(in.Name), strings.TrimSpace(in.Standard))
	case "early":
		early := habitat.EarlyCredit(in.Early)
		if early != habitat.EarlyCredited && early != habitat.EarlyNotCredited {
			return "", optionFault("early", string(habitat.EarlyCredited)+" or "+string(habitat.EarlyNotCredited), "%q is no answer", in.Early)
		}
		return s.CreditEarly(ctx, in.Contract, early)
	case "file":
		return in.attach(ctx, s)
	}
	return "", &unknownError{"contracts do not change like that"}
}

func (in *contractWish) modify(ctx context.Context, s *app.Session, kind habitat.ModificationKind) (string, error) {
	m := habitat.Modification{Number: strings.TrimSpace(in.Number), Kind: kind, Line: in.Line, Reason: strings.TrimSpace(in.Because)}
	if in.Line < 1 && kind != habitat.CancelLine && kind != habitat.CloseLine {
		return "", optionFault("line", "the number of a line", "it is missing")
	}
	on, err := day("on", in.On)
	if err != nil {
		return "", err
	}
	if on != nil {
		m.On = *on
	}
	to := habitat.LineChange{Unit: in.Unit}
	if kind == habitat.Amend {
		if to.Planned, err = amount("planned", in.Planned); err != nil {
			return "", err
		}
	}
	if text := strings.TrimSpace(in.Year); text != "" || kind == habitat.Extend {
		year, err := strconv.Atoi(text)
		if err != nil {
			return "", optionFault("year", "a fiscal year of four digits, such as 2028", "%q is not a fiscal year", in.Year)
		}
		if to.Year = date.FiscalYear(year); kind == habitat.Extend {
			to.Year, to.Until = 0, date.FiscalYear(year)
		}
	}
	return s.ModifyContract(ctx, in.Contract, m, to)
}

// amount reads what a line plans or what was done.
func amount(option, text string) (float64, error) {
	v, err := quantity.Parse(strings.TrimSpace(text))
	if err != nil || !(v > 0) {
		return 0, optionFault(option, "a number above 0, in acres or feet as the practice counts", "%q is not an amount", text)
	}
	return v, nil
}

func (in *contractWish) note(ctx context.Context, s *app.Session) (string, error) {
	done := habitat.Completion{Unit: in.Unit, Practice: in.Practice, Notes: strings.TrimSpace(in.Notes)}
	on, err := day("on", in.On)
	if err != nil {
		return "", err
	}
	if on == nil {
		return "", optionFault("on", "the day on which it was done", "it is missing")
	}
	done.On = *on
	if done.Applied, err = amount("amount", in.Amount); err != nil {
		return "", err
	}
	return s.NoteCompletion(ctx, in.Contract, done, in.Undo)
}

func (in *contractWish) attach(ctx context.Context, s *app.Session) (string, error) {
	var file habitat.Attachment
	var err error
	if in.Dropped != nil {
		file, err = in.Dropped.find(s, "file")
	} else {
		file, err = attach(s, in.Path)
	}
	if err != nil {
		return "", err
	}
	return s.AttachToContract(ctx, in.Contract, filepath.Join(filepath.Dir(s.Store.Path()), filepath.FromSlash(file.Path)), strings.TrimSpace(in.Because))
}

// holdWish says how plans hold to a line of a contract; line 0 means all of them.
type holdWish struct {
	Contract string           `json:"contract"`
	Line     int              `json:"line"`
	Hold     habitat.LineHold `json:"hold"`
}

func holdLine(ctx context.Context, s *app.Session, in holdWish, _ *http.Request) (any, error) {
	switch in.Hold {
	case habitat.FreeLine, habitat.WishedLine, habitat.LockedLine:
	default:
		return nil, &badRequestError{"hold: accepts free, wish or lock"}
	}
	words, err := s.HoldLines(ctx, in.Contract, in.Line, in.Hold)
	return map[string]any{"words": []string{words}}, err
}
