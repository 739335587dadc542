package view

import (
	"fmt"
	"strings"

	"emberquilt/habitat/quantity"
)

// mostInWords is how many names a text in place of a figure gives of a kind.
const mostInWords = 40

// InWords says what the rose shows, for those who cannot see it.
func (r *Rose) InWords() string {
	var all []string
	for _, l := range r.Lines {
		all = append(all, l.Words)
	}
	text := "Rose of the sixteen winds. " + strings.Join(all, " ")
	if r.Day != nil {
		text += fmt.Sprintf(" An arrow marks the wind of the day, from %.0f°.", float64(*r.Day))
	}
	return text
}

// InWords says what the map shows, for those who cannot see it.
func (g *Ground) InWords() string {
	var burning, others, places []string
	for i := range g.Units {
		if u := &g.Units[i]; u.Burns {
			burning = append(burning, u.Unit)
		} else {
			others = append(others, u.Unit)
		}
	}
	for i := range g.Places {
		places = append(places, g.Places[i].Name)
	}
	return GroundInWords(burning, others, places)
}

// GroundInWords says what a map shows whose burning units are hatched.
func GroundInWords(burning, others, places []string) string {
	text := "Map, north up."
	for _, list := range []struct {
		title string
		names []string
	}{{"Hatched", burning}, {"Not hatched", others}, {"Places", places}} {
		if len(list.names) > 0 {
			text += fmt.Sprintf(" %s: %s.", list.title, quantity.ListFirst(list.names, mostInWords))
		}
	}
	return text
}

// YearInWords says what the map of one year shows, for those who cannot see it.
func (m *Map) YearInWords(at int) string {
	year := &m.Years[at]
	text := fmt.Sprintf("Map of %s, north up: %s.", year.Title, strings.TrimSuffix(year.Note, "."))
	for _, number := range m.UsedMarks() {
		mark, _ := m.MarkOf(number)
		var names []string
		for i, s := range year.States {
			if s.Mark == number {
				names = append(names, m.Units[i].Unit)
			}
		}
		if len(names) > 0 {
			text += fmt.Sprintf(" %s (%s): %s.", mark.Text, mark.Pattern, quantity.ListFirst(names, mostInWords))
		}
	}
	for _, o := range year.Outlines {
		text += fmt.Sprintf(" Outline: %s.", strings.TrimSuffix(o.Title, "."))
	}
	return text
}
