package habitat

import (
	"math"

	"emberquilt/habitat/quantity"
)

// Limits of what a property may hold. Nobody's ground comes near them; a value
// beyond is a slip of the pen, and could not be planned with.
const (
	// MaxAcres bounds every area, that of a unit as well as that of a cap.
	MaxAcres quantity.Acres = 1e9
	// MaxPeople bounds the size of a crew.
	MaxPeople = 500
	// MaxDayHolds bounds how many burn days one day of the crew holds.
	MaxDayHolds = 20
	// MaxBurnDays bounds the burn days of a unit, a season and a cap.
	MaxBurnDays = 366
	// MaxWeight bounds weights and penalties.
	MaxWeight = 1e9
)

// isAmount reports whether v is a number from 0 to most.
func isAmount(v, most float64) bool { return v >= 0 && v <= most && !math.IsNaN(v) }
