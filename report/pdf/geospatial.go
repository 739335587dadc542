package pdf

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"

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

var (
	pageObject  = regexp.MustCompile(`(?s)(\d+) 0 obj\n<</Type /Page\n(.*?)\nendobj`)
	trailerText = regexp.MustCompile(`(?s)trailer\n<<\n(.*?)>>\nstartxref\n(\d+)\n%%EOF`)
	sizeEntry   = regexp.MustCompile(`/Size (\d+)`)
	otherEntry  = regexp.MustCompile(`/(?:Root|Info) \d+ 0 R`)
)

// writeGeoreferenced writes a paper whose pages say where they are: one viewport a page.
// The library has no place for that, so the pages are written a second time in an
// incremental update (ISO 32000-2, clause 7.5.6) behind what it made.
func writeGeoreferenced(w io.Writer, p *paper, viewports []viewport) error {
	var made bytes.Buffer
	if err := p.write(&made); err != nil {
		return err
	}
	out, err := georeferenced(made.Bytes(), viewports)
	if err != nil {
		return err
	}
	_, err = w.Write(out)
	return err
}

func georeferenced(made []byte, viewports []viewport) ([]byte, error) {
	found := pageObject.FindAllSubmatch(made, -1)
	trailer := trailerText.FindSubmatch(made)
	if len(found) != len(viewports) || trailer == nil {
		return nil, fmt.Errorf("the PDF has %d pages of a known form, not %d", len(found), len(viewports))
	}
	size := sizeEntry.FindSubmatch(trailer[1])
	if size == nil {
		return nil, errors.New("the PDF's trailer has no size")
	}
	next, err := strconv.Atoi(string(size[1]))
	if err != nil {
		return nil, err
	}
	out := bytes.NewBuffer(bytes.TrimRight(made, "\n"))
	out.WriteByte('\n')
	type entry struct{ number, offset int }
	var entries []entry
	object := func(number int, body string) {
		entries = append(entries, entry{number, out.Len()})
		fmt.Fprintf(out, "%d 0 obj\n%s\nendobj\n", number, body)
	}
	for i, v := range viewports {
		number, err := strconv.Atoi(string(found[i][1]))
		if err != nil {
			return nil, err
		}
		object(number, fmt.Sprintf("<</Type /Page\n/VP [<</Type /Viewport /Name (map) /BBox [%.3f %.3f %.3f %.3f] /Measure %d 0 R>>]\n%s",
			points(v.left), points(pageHeight-v.bottom), points(v.right), points(pageHeight-v.top), next, found[i][2]))
		degrees := ""
		for _, c := range v.corners {
			degrees += fmt.Sprintf("%.9f %.9f ", c.Lat, c.Lon)
		}
		object(next, fmt.Sprintf("<</Type /Measure /Subtype /GEO /Bounds [0 0 0 1 1 1 1 0] /LPTS [0 0 0 1 1 1 1 0]\n/GPTS [%s]\n/PDU [/FT /A /DEG] /GCS <</Type /GEOGCS /EPSG 4326 /WKT (%s)>>>>", degrees, wgs84))
		next++
	}
	at := out.Len()
	out.WriteString("xref\n")
	for _, e := range entries {
		fmt.Fprintf(out, "%d 1\n%010d 00000 n \n", e.number, e.offset)
	}
	fmt.Fprintf(out, "trailer\n<<\n/Size %d\n", next)
	for _, other := range otherEntry.FindAll(trailer[1], -1) {
		fmt.Fprintf(out, "%s\n", other)
	}
	fmt.Fprintf(out, "/Prev %s\n>>\nstartxref\n%d\n%%%%EOF\n", trailer[2], at)
	return out.Bytes(), nil
}

// points is a length in points.
func points(millimeters float64) float64 { return millimeters / 25.4 * 72 }
