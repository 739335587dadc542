package pdf

import (
	"fmt"
	"strings"

	"emberquilt/habitat/ground"
)

// viewport is a rectangle of a page, in millimeters from its left upper corner, with the
// degrees of its corners: left lower, left upper, right upper, right lower.
type viewport struct {
	left, right, top, bottom float64
	corners                  [4]ground.Point
}

// wgs84 is EPSG's system 4326 as the well-known text that a PDF holds.
const wgs84 = `GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563]],PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]]`

// entry is what the dictionary of a page says of where on earth it lies (ISO 32000-2, clause
// 12.10). The library has no place for that; structure adds it to the page.
func (v *viewport) entry() string {
	degrees := make([]string, len(v.corners))
	for i, c := range v.corners {
		degrees[i] = fmt.Sprintf("%.9f %.9f", c.Lat, c.Lon)
	}
	return fmt.Sprintf(
		"/VP [<</Type /Viewport /Name (map) /BBox [%.3f %.3f %.3f %.3f]\n/Measure <</Type /Measure /Subtype /GEO /Bounds [0 0 0 1 1 1 1 0] /LPTS [0 0 0 1 1 1 1 0]\n/GPTS [%s]\n/PDU [/FT /A /DEG] /GCS <</Type /GEOGCS /EPSG 4326 /WKT (%s)>>>>>>]",
		points(v.left),
		points(pageHeight-v.bottom),
		points(v.right),
		points(pageHeight-v.top),
		strings.Join(degrees, " "),
		wgs84,
	)
}

// points is a length in points.
func points(millimeters float64) float64 { return millimeters / 25.4 * 72 }
