package view

import (
	"fmt"
	"slices"
	"strings"

	"emberquilt/schedule/window"
)

// WindWords says which winds of a card suit, and to which places the others of the
// prescription carry smoke.
func WindWords(card *window.Card) string {
	var suits, forbids, tolerated []string
	for i := range card.Directions {
		d := &card.Directions[i]
		if d.IsAllowed {
			suits = append(suits, d.From.Compass())
		}
		for _, r := range d.Smoke {
			switch {
			case !d.InPrescription:
			case r.Tolerated && !slices.Contains(tolerated, r.Name):
				tolerated = append(tolerated, r.Name)
			case !r.Tolerated && !slices.Contains(forbids, r.Name):
				forbids = append(forbids, r.Name)
			}
		}
	}
	words := "Winds that suit: " + strings.Join(suits, ", ")
	if len(suits) == len(card.Directions) {
		words = "Winds that suit: all"
	}
	if len(forbids) > 0 {
		words += fmt.Sprintf("; others carry smoke to %s", strings.Join(forbids, ", "))
	}
	if len(tolerated) > 0 {
		words += fmt.Sprintf("; smoke at %s is tolerated", strings.Join(tolerated, ", "))
	}
	return words + "."
}
