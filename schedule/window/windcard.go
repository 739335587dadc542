package window

import (
	"math"
	"slices"

	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
)

// DefaultBackingRate holds where the user states none. It lies in the range of 1
// to 3 chains per hour of Wade and Lunsford 1989 (A guide for prescribed fire in southern forests, USFS
// R8-TP 11).
const DefaultBackingRate = quantity.ChainsPerHour(2)

// CardInput is what a wind card is made of.
type CardInput struct {
	// Depths is the unit's extent along the wind for the sixteen compass points
	// from which it blows, clockwise from north: from its shape, from
	// RectangleDepths or from the user.
	Depths [16]quantity.Feet
	// Runs is the longest run of each of these winds inside the unit, which a backing
	// fire really has to cross; 0 means that it is the depth.
	Runs [16]quantity.Feet
	// BackingRate is the unit's own; 0 means DefaultBackingRate.
	BackingRate quantity.ChainsPerHour
	// Places are the smoke-sensitive places near the unit, Within how near.
	Places []Place
	Within quantity.Feet
	// SmokeAllowed keeps a direction in although it would carry smoke to a place.
	SmokeAllowed bool
}

// Card says for each of sixteen wind directions what a burn with it would mean.
type Card struct {
	Directions [16]Direction
	// Rate is the backing rate that the hours are counted with.
	Rate quantity.ChainsPerHour
	// NoDirection is the share of candidate days without a prevailing direction,
	// where a record is given.
	NoDirection quantity.Share
	// HasShares says that the shares come from a record.
	HasShares bool
}

// Direction is one line of a wind card.
type Direction struct {
	// From is the direction from which the wind blows.
	From quantity.Bearing
	// Depth is the unit's extent along the wind, Run the longest run of the wind inside
	// it and Back the hours that a backing fire needs to cross the run.
	Depth, Run quantity.Feet
	Back       quantity.Hours
	// DownwindEdge is the side of the unit from which a backing fire would
	// start: the side toward which the wind blows.
	DownwindEdge quantity.Bearing
	// Smoke lists the places that smoke reaches.
	Smoke []Reached
	// InPrescription says that the prescription's sectors hold the direction;
	// IsAllowed that it does and that smoke reaches no place, save for tolerated
	// ones and where smoke is allowed.
	InPrescription, IsAllowed bool
	// CandidateShare is the share of the record's candidate days whose wind came
	// from here in the longest run of counting hours.
	CandidateShare quantity.Share
}

// NewCard makes the wind card of a unit. p may be nil, and so may d, the record
// against the prescription.
func NewCard(in CardInput, p *prescription.Prescription, d *Days) *Card {
	rate := in.BackingRate
	if !(rate > 0) {
		rate = DefaultBackingRate
	}
	c := &Card{Rate: rate}
	for i := range c.Directions {
		from := quantity.Bearing(22.5 * float64(i))
		run := in.Runs[i]
		if !(run > 0) {
			run = in.Depths[i]
		}
		of := Direction{From: from, Depth: in.Depths[i], Run: run, Back: quantity.SpreadHours(run, rate), DownwindEdge: from.Opposite()}
		for _, place := range in.Places {
			if place.Reached[i] {
				of.Smoke = append(of.Smoke, Reached{place.Name, place.Kind, place.Tolerated, place.Downwind[i]})
			}
		}
		of.InPrescription = p == nil || p.AllowsFrom(from)
		of.IsAllowed = of.InPrescription && (in.SmokeAllowed || !of.SmokeForbids())
		c.Directions[i] = of
	}
	if d != nil {
		c.shares(d)
	}
	return c
}

// SmokeForbids reports whether smoke reaches a place that is not tolerated.
func (d *Direction) SmokeForbids() bool {
	return slices.ContainsFunc(d.Smoke, func(r Reached) bool { return !r.Tolerated })
}

// compassIndex gives the nearest of the sixteen compass points, clockwise from
// north.
func compassIndex(from quantity.Bearing) int { return int(math.Floor(float64(from)/22.5+0.5)) % 16 }

// Toward gives the direction of the card that is nearest to a wind from any bearing.
func (c *Card) Toward(from quantity.Bearing) *Direction { return &c.Directions[compassIndex(from)] }

// apart gives the angle between two directions, 0 to 180 degrees.
func apart(a, b quantity.Bearing) float64 {
	d := math.Abs(float64(a - b))
	return min(d, 360-d)
}

// shares counts from where the wind came on the candidate days.
func (c *Card) shares(d *Days) {
	var count [16]int
	none, total := 0, 0
	for i := range d.Days {
		if !d.Days[i].Candidate {
			continue
		}
		total++
		if from, ok := d.windOfRun(i); ok {
			count[compassIndex(from)]++
		} else {
			none++
		}
	}
	if total == 0 {
		return
	}
	c.HasShares = true
	c.NoDirection = quantity.Share(float64(none) / float64(total))
	for i, n := range count {
		c.Directions[i].CandidateShare = quantity.Share(float64(n) / float64(total))
	}
}

// windOfRun gives the direction of the mean wind of a day's longest run: the sum
// of its hours' winds as vectors. ok is false where no hour has a direction or
// they cancel out.
func (d *Days) windOfRun(i int) (from quantity.Bearing, ok bool) {
	start, length := d.Days[i].Counting.LongestRun()
	of := &d.Series.days[i]
	hours := d.Series.hours(i, start+length-1)
	var north, east float64
	for j := range hours {
		h := &hours[j]
		if label := of.labelOn(h); label < start || label >= start+length {
			continue
		}
		direction, hasFrom := h.WindFrom()
		speed, hasSpeed := h.Wind()
		if hasFrom && hasSpeed {
			sin, cos := math.Sincos(direction.Radians())
			north += float64(speed) * cos
			east += float64(speed) * sin
		}
	}
	if math.Hypot(north, east) < 1e-6 {
		return 0, false
	}
	return quantity.NewBearing(math.Atan2(east, north) * 180 / math.Pi), true
}

// Sectors gives the allowed directions as sectors that a prescription or an
// evaluation can take: each direction with half the way to its neighbors. ok
// is false where no direction is allowed; all allowed give one full circle.
func (c *Card) Sectors() (sectors []prescription.Sector, ok bool) {
	const half = 11.25
	allowed := func(i int) bool { return c.Directions[(i+16)%16].IsAllowed }
	for i := range c.Directions {
		if !allowed(i) || allowed(i-1) {
			continue
		}
		last := i
		for allowed(last + 1) {
			last++
		}
		sectors = append(sectors, prescription.Sector{From: float64(quantity.NewBearing(22.5*float64(i) - half)),
			To: float64(quantity.NewBearing(22.5*float64(last) + half))})
	}
	if len(sectors) == 0 && allowed(0) {
		return []prescription.Sector{{From: 0, To: 360}}, true
	}
	return sectors, len(sectors) > 0
}

// RectangleDepths gives, for sixteen winds, the extents of a rectangle whose long side
// points along a bearing, and the longest runs of the wind inside it.
func RectangleDepths(length, width quantity.Feet, axis quantity.Bearing) (depths, runs [16]quantity.Feet) {
	for i := range depths {
		sin, cos := math.Sincos(quantity.NewBearing(22.5*float64(i) - float64(axis)).Radians())
		sin, cos = math.Abs(sin), math.Abs(cos)
		depths[i] = quantity.Feet(float64(length)*cos + float64(width)*sin)
		// From side to side across the width, or from end to end: what comes first.
		runs[i] = min(depths[i], quantity.Feet(min(float64(length)/cos, float64(width)/sin)))
	}
	return depths, runs
}

// SameDepths gives one depth for every direction.
func SameDepths(depth quantity.Feet) (depths [16]quantity.Feet) {
	for i := range depths {
		depths[i] = depth
	}
	return depths
}
