package view

import (
	"strings"
	"testing"

	"emberquilt/habitat/quantity"
	"emberquilt/schedule/window"
)

// The rose names each wind once, with what the card says of it.
func TestRoseSaysEachWind(t *testing.T) {
	card := window.CardInput{Depths: window.SameDepths(660), Within: 5280, Places: []window.Place{{Name: "Hollow Road"}, {Name: "house", Tolerated: true}}}
	for _, i := range []int{12, 13, 14, 15, 0, 3} { // W to N, and ENE
		card.Places[0].Reached[i] = true
	}
	card.Places[1].Reached[8] = true
	r := NewRose(NewWindCard("A", "spring", window.NewCard(card, nil, nil), window.Firing{}), &DayWind{Bearing: 337.5})
	var words []string
	for _, l := range r.Lines {
		words = append(words, l.Words)
	}
	if got, want := strings.Join(words, " "), "Suits: NNE, NE, E clockwise to WSW. Smoke to Hollow Road: ENE, W clockwise to N. Winds that suit reach house, which you tolerate."; got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
	count := map[RoseKind]int{}
	for _, w := range r.Winds {
		count[w.Kind]++
	}
	if count[WindSmoke] != 6 || count[WindSuits] != 10 || *r.Day != quantity.Bearing(337.5) {
		t.Errorf("%v, day %v", count, r.Day)
	}
	all := NewRose(NewWindCard("A", "", window.NewCard(window.CardInput{}, nil, nil), window.Firing{}), nil)
	if all.Suits != "any wind" || all.Lines[0].Words != "Every wind suits." {
		t.Errorf("%+v", all)
	}
	for i := range card.Places[0].Reached {
		card.Places[0].Reached[i] = true
	}
	none := NewRose(NewWindCard("A", "", window.NewCard(card, nil, nil), window.Firing{}), nil)
	if none.Suits != "none" || none.Lines[0].Words != "No wind suits." || none.Lines[1].Words != "Smoke to Hollow Road: any wind." {
		t.Errorf("%+v", none.Lines)
	}
}

// Of each thing to have on site the sheet says one number, or that of each unit.
func TestOnSiteLineSaysEachUnit(t *testing.T) {
	for want, l := range map[string]OnSiteLine{
		"water: 100 gal":               {Name: "water", Unit: "gal", Counts: []string{"100", "100"}},
		"water, gal: 150 (1), 100 (2)": {Name: "water", Unit: "gal", Counts: []string{"150", "100"}},
	} {
		if l.say("water: 100 gal"); l.Words != want {
			t.Errorf("%q, want %q", l.Words, want)
		}
	}
}
