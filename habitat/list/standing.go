package list

import (
	"fmt"

	"emberquilt/habitat"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/geofile"
	"emberquilt/habitat/source"
)

// takeStanding reads lines and shapes as standing breaks. A road comes in many
// pieces and often without a name: pieces of one name are one break, and those
// without a name take their kind's, or "standing break".
func (l *List) takeStanding(layer *geofile.Layer, faults *source.List) {
	at := map[string]int{}
	for i := range layer.Features {
		f := &layer.Features[i]
		if f.Shape.IsEmpty() && len(f.Lines) == 0 {
			faults.Addf(f.Position, "lines, such as roads and streams, or polygons, such as ponds", "the standing break has no length")
			continue
		}
		p := geofile.PlaceOf(f)
		if f.Name == "" {
			if p.Name = p.Kind; p.Name == "" {
				p.Name = "standing break"
			}
		}
		if err := habitat.ValidateName("name", p.Name); err != nil {
			faults.Add(fieldFault(f.Position, err))
			continue
		}
		p.Points = nil // a point holds no fire
		if k, ok := at[p.Name]; ok {
			first := &l.standing[k].place
			first.Lines = append(first.Lines, p.Lines...)
			first.Shape.Polygons = append(first.Shape.Polygons, p.Shape.Polygons...)
			l.standing[k].pieces++
			continue
		}
		at[p.Name] = len(l.standing)
		l.standing = append(l.standing, standingBreak{place: p, at: f.Position, pieces: 1})
	}
	for _, s := range l.standing {
		if s.pieces > 1 {
			l.Notes = append(
				l.Notes,
				ground.Note{Position: s.at, Kind: ground.Repeated, Text: fmt.Sprintf("%d pieces named %s were taken as one standing break", s.pieces, source.Quote(s.place.Name))},
			)
		}
	}
}

// standingBreak is a standing break as its file has it.
type standingBreak struct {
	place  ground.Place
	at     source.Position
	pieces int
}

// standing plans one list of standing breaks.
func (m *maker) standing(l *List) {
	for i := range l.standing {
		p := l.standing[i].place
		m.place(m.cur.Standing, &p, Change{Kind: Breaks, Name: p.Name, At: l.standing[i].at, Standing: &p})
	}
}
