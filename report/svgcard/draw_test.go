package svgcard

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
	"emberquilt/schedule/window"
)

func card(unit string, smoke bool) *view.WindCard {
	in := window.CardInput{Within: 5280}
	in.Depths, in.Runs = window.RectangleDepths(1320, 660, 45)
	if smoke {
		in.Places = []window.Place{{Name: "school", Toward: 90, Distance: 2000,
			Reached: [16]bool{11: true, 12: true, 13: true}, Downwind: [16]quantity.Feet{11: 2100, 12: 2000, 13: 2100}}}
	}
	return view.NewWindCard(unit, "dormant", window.NewCard(in, nil, nil), window.Firing{})
}

func TestCardIsXMLWhateverTheName(t *testing.T) {
	for _, name := range []string{"School Prairie", `</svg><script>alert(1)</script>`, `" onload="x`, strings.Repeat("long ", 90), "\x1b[31m\u202e", "\ufffe no character \uffff"} {
		var b bytes.Buffer
		if err := Write(&b, card(name, true)); err != nil {
			t.Fatal(err)
		}
		elements := map[string]int{}
		for d := xml.NewDecoder(&b); ; {
			token, err := d.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%q: %v", name, err)
			}
			if start, ok := token.(xml.StartElement); ok {
				elements[start.Name.Local]++
				for _, a := range start.Attr {
					if strings.HasPrefix(a.Name.Local, "on") {
						t.Errorf("%q: attribute %s", name, a.Name.Local)
					}
				}
			}
		}
		if elements["script"] > 0 || elements["path"] != 16 {
			t.Errorf("%q: %v", name, elements)
		}
	}
}

func TestCardTellsByPattern(t *testing.T) {
	var with, without bytes.Buffer
	if err := errors.Join(Write(&with, card("a", true)), Write(&without, card("a", false))); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(with.String(), `<path d="`); n != 16 || strings.Count(with.String(), "url(#card-smoke)") != 4 { // W, WSW, WNW and the legend
		t.Errorf("%d wedges, %d hatched", n, strings.Count(with.String(), "url(#card-smoke)"))
	}
	if strings.Contains(without.String(), "url(#card-smoke)") {
		t.Error("smoke where no place is")
	}
}

// A card without shares of days does not say why: a record may be loaded, and the unit
// have no prescription to hold it against.
func TestCardWithoutSharesClaimsNothingOfTheRecord(t *testing.T) {
	var b bytes.Buffer
	v := card("School Prairie", false)
	if v.HasShares {
		t.Fatal("the card has shares")
	}
	if err := Write(&b, v); err != nil {
		t.Fatal(err)
	}
	if says := b.String(); strings.Contains(says, "weather record") || !strings.Contains(says, "no candidate days known") {
		t.Errorf("the card says of its lengths:\n%s", says)
	}
}
