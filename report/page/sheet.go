package page

import (
	"fmt"
	"io"

	"emberquilt/report/view"
)

// sheetPage and draftPage are what their templates read.
type sheetPage struct {
	frame
	*view.Sheet
	Drawings
}

// Drawings are what a season sheet shows beside its words: maps on the first page, and
// the rose of winds of each unit by its name.
type Drawings struct {
	Maps  []Map
	Roses map[string]Map
}

type draftPage struct {
	frame
	Draft *view.Draft
	Mark  string
}

// WriteSheet writes the season sheet as HTML: printed, a page that lists the units, one
// a unit, and one for the day.
func WriteSheet(w io.Writer, v *view.Sheet, d Drawings) error {
	title := fmt.Sprintf("Season sheet, %s", view.Cut(view.Plain(v.Due.Stamp.Property), 120))
	return write(w, "sheet", sheetPage{newFrame(title, v.Due.Stamp, nil), v, d})
}

// WriteDraft writes a burn plan draft as HTML, marked as a draft on every
// printed page.
func WriteDraft(w io.Writer, v *view.Draft) error {
	title := fmt.Sprintf("Burn plan draft, %s", view.Cut(view.Plain(v.Unit), 120))
	return write(w, "draft", draftPage{newFrame(title, v.Stamp, nil), v, view.DraftMark})
}
