package habitat

// measures are those of conservation practices by their codes, as the list of
// national conservation practice standards of the USDA NRCS counts them. From
// memory; a practice that is not here may be counted in either.
var measures = map[string]Measure{
	"314": InAcres, "315": InAcres, "327": InAcres, "338": InAcres, "342": InAcres, "383": InAcres, "386": InAcres, "472": InAcres,
	"512": InAcres, "528": InAcres, "550": InAcres, "643": InAcres, "645": InAcres, "647": InAcres, "666": InAcres,
	"380": InFeet, "382": InFeet, "394": InFeet, "516": InFeet, "560": InFeet, "575": InFeet,
}

// MeasureOf gives what a practice is counted in by its code; empty where the code is
// not known, and either will do.
func MeasureOf(code string) Measure { return measures[code] }
