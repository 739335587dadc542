package pdf

import (
	"bytes"
	"testing"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/report/view"
)

// Headings are bookmarks, in their order, and the paper names its language and title.
func TestHeadingsAreBookmarks(t *testing.T) {
	p := newPaper("Season sheet", "", view.Stamp{On: date.MustDay(2026, time.November, 25), Property: "Bend", Data: "1-00000000", Program: "test"})
	p.AddPage()
	for _, text := range []string{"Units", "Übersicht", "Tasks"} {
		p.heading(text)
	}
	var b bytes.Buffer
	if err := p.write(&b); err != nil {
		t.Fatal(err)
	}
	at := 0
	for _, title := range []string{"/Title (\xfe\xff\x00U\x00n\x00i\x00t\x00s)", "/Title (\xfe\xff\x00\xdc\x00b\x00e\x00r", "/Title (\xfe\xff\x00T\x00a\x00s\x00k\x00s)"} {
		next := bytes.Index(b.Bytes()[at:], []byte(title))
		if next < 0 {
			t.Fatalf("%q does not follow", title)
		}
		at += next
	}
	for _, one := range []string{"/Outlines", "/PageMode /UseOutlines", "/Lang (en-US)", "/DisplayDocTitle true", "/Marked true"} {
		if !bytes.Contains(b.Bytes(), []byte(one)) {
			t.Errorf("%s is not there", one)
		}
	}
}
