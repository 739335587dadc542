package view

import (
	"fmt"

	"emberquilt/habitat"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/quantity"
)

// OnSiteRow is one thing to have on site, with an empty box.
type OnSiteRow struct {
	Words    string `json:"words"`
	Why      string `json:"why"`
	Standing string `json:"standing"`
}

func onSite(acres quantity.Acres, hours quantity.Hours, people habitat.People) []OnSiteRow {
	var rows []OnSiteRow
	for _, item := range preparation.OnSite(acres, hours, people) {
		rows = append(rows, OnSiteRow{item.Words(), item.Why, item.Standing})
	}
	return rows
}

// ContactWords says whom to call, under a number, with a blank for a phone that is not
// known.
func ContactWords(number int, c habitat.Contact) string {
	name, phone := c.Name, c.Phone
	if phone == "" {
		phone = "______________"
	}
	words := fmt.Sprintf("%d. %s", number, c.Role)
	if name != "" {
		words += ", " + name
	}
	words += ": " + phone
	if c.When != "" {
		words += " (" + c.When + ")"
	}
	return words
}
