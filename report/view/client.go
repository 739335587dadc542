package view

import (
	"cmp"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/preparation"
	"emberquilt/schedule/window"
)

// ClientInput is what a supervisor's view of one property is computed from.
type ClientInput struct {
	Stamp    Stamp
	Property habitat.Property
	// Packets are those of the adopted plan.
	Packets []*Packet
	// Season holds windows and tasks of the adopted plan; nil without one.
	Season *Season
	// Days bounds how far ahead permits are looked for.
	Days int
}

// Client is one property as the supervisor of many sees it.
type Client struct {
	Stamp Stamp `json:"stamp"`
	// Lines are those of the contracts, in the order of the packets.
	Lines []ClientLine `json:"lines"`
	// Permits are the permits to be had, the late ones first.
	Permits []ClientTask `json:"permits"`
	// Plan says whether the property has an adopted plan.
	Plan bool `json:"has_plan"`
}

// ClientLine is a line of a contract with what comes next for it.
type ClientLine struct {
	Client     string          `json:"client"`
	Contract   string          `json:"contract"`
	Number     string          `json:"number"`
	Line       int             `json:"line"`
	Practice   string          `json:"practice"`
	Unit       string          `json:"unit"`
	FiscalYear date.FiscalYear `json:"fiscal_year"`
	Measure    habitat.Measure `json:"measure"`
	Planned    float64         `json:"planned"`
	// Done is what is credited to the line, Behind what remains of it after its time.
	Done   float64       `json:"done"`
	Behind float64       `json:"behind"`
	State  ScheduleState `json:"state"`
	// PlanSays is what the plan does for what remains of the line; empty without a plan.
	PlanSays LineState `json:"plan_says"`
	// NextYear and NextSeason are the planned burn that counts for the line, or one that
	// comes before its year; 0 where the plan has none. Its window is open from First to Last; NoWindow
	// says why there is none.
	NextYear   date.ProgramYear `json:"next_burn"`
	NextSeason string           `json:"next_burn_season"`
	First      date.Day         `json:"window_first"`
	Last       date.Day         `json:"window_last"`
	NoWindow   string           `json:"no_window"`
	// Permit is the permit that must be had for it next, PermitBy its last day.
	Permit   string   `json:"permit"`
	PermitBy date.Day `json:"permit_by"`
}

// ClientTask is a permit to be had.
type ClientTask struct {
	Unit  string           `json:"unit"`
	Year  date.ProgramYear `json:"program_year"`
	Task  string           `json:"task"`
	From  date.Day         `json:"from"`
	By    date.Day         `json:"by"`
	State string           `json:"state"`
}

// NewClient computes a property's lines and permits.
func NewClient(in *ClientInput) *Client {
	v := &Client{Stamp: in.Stamp.of(&in.Property), Lines: []ClientLine{}, Permits: []ClientTask{}, Plan: in.Season != nil}
	if in.Season != nil {
		until := in.Stamp.On.AddDays(in.Days)
		for _, d := range in.Season.Tasks {
			if isPermit(d.Task.Name) && d.State != preparation.Done && !d.By.After(until) {
				v.Permits = append(v.Permits, ClientTask{d.Unit, d.Year, d.Task.Name, d.From, d.By, string(d.State)})
			}
		}
	}
	slices.SortStableFunc(v.Permits, func(a, b ClientTask) int {
		return cmp.Or(a.By.Compare(b.By), cmp.Compare(a.Unit, b.Unit))
	})
	for _, p := range in.Packets {
		for i := range p.Schedule {
			r := &p.Schedule[i]
			if r.Line == 0 {
				continue // work without a line
			}
			l := ClientLine{
				Client:     p.Client,
				Contract:   p.Contract,
				Number:     p.Number,
				Line:       r.Line,
				Practice:   r.Practice,
				Unit:       r.Unit,
				FiscalYear: r.FiscalYear,
				Measure:    r.Measure,
				Planned:    r.Planned,
				Done:       Rounded(r.Applied+r.Late+r.Early, 6),
				State:      r.State,
				PlanSays:   r.PlanSays,
			}
			l.Behind = r.BehindIn(p.FiscalYear)
			if r.Next != 0 && in.Season != nil {
				l.setBurn(in, r.next, v.Permits)
			}
			v.Lines = append(v.Lines, l)
		}
	}
	return v
}

// BehindIn gives what remains of a line in a fiscal year after its time; 0 before that, and
// where it was canceled.
func (r *ScheduleRow) BehindIn(year date.FiscalYear) float64 {
	if r.LastYear() < year && r.State != Canceled {
		return r.Remaining
	}
	return 0
}

// State says in a word or two how the property stands.
func (v *Client) State() string {
	switch {
	case len(v.Lines) == 0:
		return "no contract"
	case !v.Plan:
		return "no plan"
	}
	return "read"
}

// LinesBehind counts the lines that are behind.
func (v *Client) LinesBehind() int {
	n := 0
	for i := range v.Lines {
		if v.Lines[i].Behind > 0 {
			n++
		}
	}
	return n
}

// setBurn says when the line's unit burns next, in which window, and with what permit.
func (l *ClientLine) setBurn(in *ClientInput, burn habitat.PlannedBurn, permits []ClientTask) {
	l.NextYear, l.NextSeason = burn.Year, burn.Season
	for i := range in.Season.Windows {
		w := &in.Season.Windows[i]
		if w.Unit != burn.Unit || w.Year != burn.Year || w.Season != burn.Season {
			continue
		}
		at := slices.IndexFunc(w.Windows, func(one window.Window) bool { return !one.Last.Before(in.Stamp.On) })
		if at < 0 {
			l.NoWindow = noWindowOf(w.None, noWindow(w, 0, in.Stamp.On)).Short()
			break
		}
		l.First, l.Last = w.Windows[at].First, w.Windows[at].Last
	}
	for _, t := range permits {
		if t.Unit == burn.Unit && t.Year == burn.Year {
			l.Permit, l.PermitBy = t.Task, t.By
			break
		}
	}
}

// isPermit tells tasks in which a permit must be had, by the words of their names.
func isPermit(task string) bool {
	task = strings.ToLower(task)
	return strings.Contains(task, "permit") || strings.Contains(task, "authorization")
}
