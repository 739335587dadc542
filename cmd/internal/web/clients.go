package web

import (
	"context"
	"fmt"
	"net/http"
	"time"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/preparation"
	"emberquilt/report/view"
)

// client is one property as an agent with many sees it.
type client struct {
	ID       string `json:"id"`
	Property string `json:"property"`
	Owner    string `json:"owner"`
	Units    int    `json:"units"`
	Plan     int    `json:"plan"`
	// Due are the tasks that begin within the days asked for, Late those that are
	// late among them.
	Due        []clientTask     `json:"due"`
	Late       int              `json:"late"`
	Contracts  []clientContract `json:"contracts"`
	ChangedAt  time.Time        `json:"changed_at"`
	LastReason string           `json:"last_change"`
	// CopyOf names the property before it that is the same one, in another file.
	CopyOf string `json:"copy_of,omitempty"`
	Fault  *fault `json:"fault,omitempty"`
}

type clientTask struct {
	Unit  string `json:"unit"`
	Task  string `json:"task"`
	By    string `json:"by"`
	State string `json:"state"`
}

// clientContract is a contract with what its fiscal years hold.
type clientContract struct {
	Contract   string             `json:"contract"`
	FiscalYear int                `json:"fiscal_year"`
	Lines      []clientFiscalYear `json:"by_fiscal_year"`
	Warnings   []string           `json:"warnings"`
}

type clientFiscalYear struct {
	Year   int            `json:"fiscal_year"`
	States map[string]int `json:"states"`
	// Behind counts the lines of which something remains after their time.
	Behind int `json:"behind"`
}

// mostDays bounds how far ahead an agent looks.
const mostDays = 3660

// clients goes through the properties; one that cannot be read says why.
func (s *Server) clients(w http.ResponseWriter, r *http.Request) {
	days, err := question{r}.number("days")
	if err == nil && days > mostDays {
		err = &badRequestError{fmt.Sprintf("days: %d is too many; accepts up to %d", days, mostDays)}
	}
	if err != nil {
		writeFault(w, err)
		return
	}
	if days == 0 {
		days = 30
	}
	all := []client{}
	var copies app.Copies
	for _, path := range s.files() {
		p, err := s.find(propertyID(path))
		c := client{ID: propertyID(path), Due: []clientTask{}, Contracts: []clientContract{}}
		if err == nil {
			err = p.read(r.Context(), func(session *app.Session) error {
				if of := copies.Of(session.ID, path); of != "" {
					c.CopyOf = view.CopyShort(propertyID(of))
				}
				return c.fill(r.Context(), p, session, days)
			})
		}
		if err != nil {
			f, _ := newFault(err)
			c.Fault = &f
		}
		all = append(all, c)
	}
	writeJSON(w, http.StatusOK, map[string]any{"clients": all, "days": days, "folder": s.options.Folder, "cautions": view.Cautions()})
}

func (c *client) fill(ctx context.Context, p *property, s *app.Session, days int) error {
	c.Property, c.Owner, c.Units = s.Property.Name, s.Property.Owner, len(s.Units)
	c.ChangedAt, c.LastReason = s.Change.At, s.Change.Reason
	err := s.Packets(ctx, func(packet *view.Packet) error {
		one := clientContract{Contract: packet.Contract, FiscalYear: int(packet.FiscalYear), Warnings: packet.Warnings, Lines: []clientFiscalYear{}}
		for _, year := range packet.Years {
			line := clientFiscalYear{Year: int(year), States: map[string]int{}}
			for i := range packet.Schedule {
				row := &packet.Schedule[i]
				if row.FiscalYear != year {
					continue
				}
				line.States[string(row.State)]++
				if row.BehindIn(packet.FiscalYear) > 0 {
					line.Behind++
				}
			}
			if len(line.States) > 0 { // else work was done in it and no line was due
				one.Lines = append(one.Lines, line)
			}
		}
		c.Contracts = append(c.Contracts, one)
		return nil
	})
	if err != nil || len(s.Plans) == 0 {
		return err
	}
	contents, err := p.of(ctx, 0)
	if err != nil {
		return err
	}
	c.Plan = contents.Stored.Number
	for _, d := range preparation.Within(contents.Season.Tasks, s.Today.AddDays(days)) {
		if d.State == preparation.Late {
			c.Late++
		}
		c.Due = append(c.Due, clientTask{d.Unit, d.Task.Name, d.By.String(), string(d.State)})
	}
	return nil
}
