package repair

import (
	"math"
	"sort"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/internal/flat"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// loops is what one ring of a file is made of when it touches or crosses
// itself: pieces side by side, and holes inside them.
type loops struct{ pieces, holes []ground.Ring }

// mostMeetings ends the search of a ring that is hopelessly tangled.
const mostMeetings = 1000

// ring cleans one ring: closes it, drops points that repeat, and takes apart
// what touches or crosses itself where that is safe. A ring without area gives
// no pieces and a note.
func (c *Cleaner) ring(raw []ground.Point) (loops, *source.Error) {
	if len(raw) > maxRingPoints {
		return loops{}, c.Refuse("up to "+quantity.Group(maxRingPoints, 0), "more than %s points in one ring", quantity.Group(maxRingPoints, 0))
	}
	for _, p := range raw {
		if err := c.CheckRange(p); err != nil {
			return loops{}, err
		}
	}
	r, err := c.closed(raw)
	if err != nil {
		return loops{}, err
	}
	if len(r) < 3 {
		if len(raw) > 0 {
			c.Note(ground.Dropped, 0, "a ring of %d different points at %s encloses no ground and was left out", len(r), place(raw[0]))
		}
		return loops{}, nil
	}
	on := unwrapped(r)
	if last := on[len(on)-1].X; math.Abs(last-on[0].X) > 180 {
		return loops{}, c.Refuse("boundaries that do not go round a pole", "the boundary goes round the pole")
	}
	if spread := spreadOf(on); spread > 180 {
		return loops{}, c.Refuse("shapes narrower than half the earth", "the boundary spans %.0f degrees of longitude", spread)
	}
	for _, p := range on {
		if p.X > 180 || p.X < -180 {
			c.noteOnce(ground.Assumed, "crosses the date line; its longitudes were taken as running on across it")
			break
		}
	}
	found, tangled := meetingsOf(on)
	if tangled {
		return loops{}, c.tangled(found, r)
	}
	if len(found) == 0 {
		return loops{pieces: []ground.Ring{r}}, nil
	}
	return c.takeApart(on, found)
}

func (c *Cleaner) noteOnce(kind ground.Kind, text string) {
	for _, n := range c.Notes {
		if n.Text == text {
			return
		}
	}
	c.Note(kind, 0, "%s", text)
}

func spreadOf(on []flat.XY) float64 {
	b := flat.NewBox()
	for _, p := range on {
		b.Add(p.X, p.Y)
	}
	return b.MaxX - b.MinX
}

// closed gives a copy of the ring without its repeated last point and without
// points that stand twice in a row.
func (c *Cleaner) closed(raw []ground.Point) (ground.Ring, *source.Error) {
	r := make(ground.Ring, 0, len(raw))
	for _, p := range raw {
		if len(r) > 0 && r[len(r)-1] == p {
			c.Repeated++
			continue
		}
		r = append(r, p)
	}
	if len(r) < 2 {
		return r, nil
	}
	if r[0] == r[len(r)-1] {
		return r[:len(r)-1], nil
	}
	if len(r) < 3 {
		return r, nil
	}
	gap := ground.MetersBetween(r[len(r)-1], r[0])
	length := r.Meters()
	if c.Closing {
		c.Note(ground.Assumed, 0, "the path was closed over %s ft, from its last point to its first", quantity.FeetFromMeters(gap))
		return r, nil
	}
	if gap > LargestGap*length {
		return nil, c.Refuse("rings whose last point repeats the first",
			"the boundary is not closed: %s ft are missing from %s to its first point",
			quantity.FeetFromMeters(gap), place(r[len(r)-1]))
	}
	c.Note(ground.Mended, 0, "the boundary was not closed; closed over %s ft at %s", quantity.FeetFromMeters(gap), place(r[0]))
	return r, nil
}

// meeting is a place where edges i < j of a ring meet although they should not.
type meeting struct {
	i, j int
	how  flat.Meet
	at   flat.XY
	// onI holds the points to put into edge i, onJ those for edge j.
	onI, onJ []flat.XY
}

// meetingsOf finds where a ring touches or crosses itself, in the order of its
// edges; tangled means that there are too many to list.
func meetingsOf(on []flat.XY) (found []meeting, tangled bool) {
	t := flat.NewTree(on)
	n := len(on)
	tests := 0
	for i, e := range t.Edges {
		t.Search(e.Box(), i+1, func(j int) bool {
			tests++
			o := t.Edges[j]
			if j == i+1 || (i == 0 && j == n-1) {
				if m, ok := foldedBack(e, o, j == i+1); ok {
					m.i, m.j = i, j
					found = append(found, m)
				}
			} else if how, at, onE, onO := e.Meets(o); how != flat.Apart {
				if how == flat.Touching {
					at = append(onE, onO...)[0]
				} else {
					onE, onO = []flat.XY{at}, []flat.XY{at}
				}
				found = append(found, meeting{i, j, how, at, onE, onO})
			}
			return len(found) <= mostMeetings && tests <= maxEdgeTests
		})
		if len(found) > mostMeetings || tests > maxEdgeTests {
			return found, true
		}
	}
	return found, false
}

// foldedBack tells whether two edges that follow each other run back along the
// same line. inOrder means that o follows e; else e follows o.
func foldedBack(e, o flat.Segment, inOrder bool) (meeting, bool) {
	first, second := e, o
	if !inOrder {
		first, second = o, e
	}
	if flat.Turn(first.A, first.B, second.B) != 0 {
		return meeting{}, false
	}
	forward := (first.B.X-first.A.X)*(second.B.X-second.A.X) + (first.B.Y-first.A.Y)*(second.B.Y-second.A.Y)
	if forward >= 0 {
		return meeting{}, false
	}
	m := meeting{how: flat.Touching, at: first.B}
	onFirst, onSecond := []flat.XY(nil), []flat.XY(nil)
	if first.Holds(second.B) {
		onFirst = []flat.XY{second.B}
	} else {
		onSecond = []flat.XY{first.A}
	}
	m.onI, m.onJ = onFirst, onSecond
	if !inOrder {
		m.onI, m.onJ = onSecond, onFirst
	}
	return m, true
}

// takeApart splits a ring at the places where it meets itself, and decides what
// each loop is: a piece, a hole, a spike or a slip of the pen.
func (c *Cleaner) takeApart(on []flat.XY, found []meeting) (loops, *source.Error) {
	all, crossed := splitAtRepeats(withPoints(on, found)), found[0].at
	for _, m := range found {
		if m.how == flat.Crossing {
			crossed = m.at
			break
		}
	}
	type loop struct {
		ring  ground.Ring
		acres quantity.Acres
		sign  float64
		tree  *flat.Tree
	}
	var rings []loop
	spikes := 0
	for _, l := range all {
		if len(l) < 3 {
			spikes++
			continue
		}
		r := make(ground.Ring, len(l))
		for i, p := range l {
			r[i] = wrapped(p)
		}
		rings = append(rings, loop{r, ground.Shape{Polygons: []ground.Polygon{{Outer: r}}}.Acres(), math.Copysign(1, signedDegrees(r)), flat.NewTree(l)})
	}
	if spikes > 0 {
		c.Note(ground.Mended, 0, "the boundary runs out and back along the same line at %s; the line was left out, no ground moved", place(wrapped(found[0].at)))
	}
	if len(rings) == 0 {
		c.Note(ground.Dropped, 0, "a ring at %s runs back on itself and encloses no ground; it was left out", place(wrapped(on[0])))
		return loops{}, nil
	}
	sort.SliceStable(rings, func(a, b int) bool { return rings[a].acres > rings[b].acres })
	main := rings[0]
	out := loops{pieces: []ground.Ring{main.ring}}
	var moved quantity.Acres
	limit := min(safeAcres, quantity.Acres(safeShare)*main.acres)
	dropped, parted := 0, 0
	for _, l := range rings[1:] {
		in := ringIn(unwrappedNear(l.ring, main.tree), main.tree) == flat.Inside
		switch {
		case l.sign == main.sign && !in:
			out.pieces = append(out.pieces, l.ring)
			parted++
		case l.sign != main.sign && in:
			out.holes = append(out.holes, l.ring)
			parted++
		case l.acres <= limit-moved:
			moved += l.acres
			dropped++
		default:
			e := c.Refuse("boundaries that do not cross themselves",
				"the boundary crosses itself at %s and it is open which side is meant (%s of %s)",
				place(wrapped(crossed)), AreaText(l.acres), AreaText(main.acres))
			return loops{}, e
		}
	}
	// Loops that share several points may claim a little ground together.
	if doubt := doubtOf(on, out) - moved; doubt > areaNoise {
		if moved += doubt; moved > limit {
			return loops{}, c.Refuse("boundaries that do not cross themselves",
				"the boundary crosses itself at %s and %s would be claimed twice or not at all", place(wrapped(crossed)), AreaText(doubt))
		}
		c.Note(ground.Mended, doubt, "the boundary crosses itself several times near %s; %s there is in doubt and was left as it is",
			place(wrapped(crossed)), AreaText(doubt))
		moved -= doubt
	}
	if dropped > 0 {
		c.Note(ground.Mended, moved, "the boundary crosses itself at %s; %d small %s of %s in all was cut off",
			place(wrapped(crossed)), dropped, quantity.Plural(dropped, "loop", "loops"), AreaText(moved))
	}
	if parted > 0 {
		c.Note(ground.Mended, 0, "the boundary touches itself at %s; it was split there into %d rings, no ground moved",
			place(wrapped(crossed)), parted+1)
	}
	return out, nil
}

// areaNoise is the difference of two ways to add up an area that is no more than
// rounding: 4 sq ft.
const areaNoise quantity.Acres = 0.0001

// doubtOf gives the ground by which the rings that were made of a ring differ
// from what it encloses; 0 where that is too much work to find out.
func doubtOf(on []flat.XY, made loops) quantity.Acres {
	var ring ground.Ring
	for _, p := range on {
		ring = append(ring, wrapped(p))
	}
	pl := ground.NewPlane(ground.Shape{Polygons: []ground.Polygon{{Outer: ring}}}.Center())
	found, ok := flat.SweepAreas([][]flat.XY{pl.ProjectRing(ring)}, nil, math.Inf(-1), math.Inf(1))
	if !ok {
		return 0
	}
	var sum float64
	for _, r := range made.pieces {
		sum += flatArea(pl.ProjectRing(r))
	}
	for _, r := range made.holes {
		sum -= flatArea(pl.ProjectRing(r))
	}
	return quantity.AcresFromSquareMeters(math.Abs(sum - found.A))
}

// unwrappedNear gives the ring with longitudes on the same side of the date
// line as the tree's.
func unwrappedNear(r ground.Ring, t *flat.Tree) []flat.XY {
	on := unwrapped(r)
	b := t.Box()
	for shift := -360.0; shift <= 360; shift += 360 {
		if x := on[0].X + shift; x >= b.MinX-1 && x <= b.MaxX+1 {
			for i := range on {
				on[i].X += shift
			}
			break
		}
	}
	return on
}

// tangled refuses a ring whose search was given up.
func (c *Cleaner) tangled(found []meeting, r ground.Ring) *source.Error {
	if len(found) <= mostMeetings {
		return c.Refuse("simpler boundaries", "the boundary of %s points at %s is too tangled to be checked", quantity.Group(float64(len(r)), 0), place(r[0]))
	}
	return c.Refuse("boundaries that do not cross themselves",
		"the boundary crosses or touches itself in more than %d places, first at %s", mostMeetings, place(wrapped(found[0].at)))
}

// withPoints gives the ring with the meeting points put into its edges.
func withPoints(on []flat.XY, found []meeting) []flat.XY {
	extra := make(map[int][]flat.XY)
	for _, m := range found {
		extra[m.i] = append(extra[m.i], m.onI...)
		extra[m.j] = append(extra[m.j], m.onJ...)
	}
	out := make([]flat.XY, 0, len(on)+2*len(found))
	for i, p := range on {
		out = append(out, p)
		points := extra[i]
		sort.SliceStable(points, func(a, b int) bool {
			return math.Hypot(points[a].X-p.X, points[a].Y-p.Y) < math.Hypot(points[b].X-p.X, points[b].Y-p.Y)
		})
		out = append(out, points...)
	}
	return out
}

// splitAtRepeats cuts a closed path into loops that pass no point twice.
func splitAtRepeats(path []flat.XY) [][]flat.XY {
	var all [][]flat.XY
	var stack []flat.XY
	seen := make(map[flat.XY]int)
	for _, p := range path {
		if len(stack) > 0 && stack[len(stack)-1] == p {
			continue
		}
		if k, ok := seen[p]; ok {
			all = append(all, append([]flat.XY(nil), stack[k:]...))
			for _, q := range stack[k+1:] {
				delete(seen, q)
			}
			stack = stack[:k+1]
			continue
		}
		seen[p] = len(stack)
		stack = append(stack, p)
	}
	return append(all, stack)
}
