package view

import (
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/quantity"
)

// OnSiteRow is one thing to have on site, with an empty box.
type OnSiteRow struct {
	Words    string `json:"words"`
	Why      string `json:"why"`
	Standing string `json:"standing"`
}

func onSite(acres quantity.Acres, hours quantity.Hours, people int) []OnSiteRow {
	var rows []OnSiteRow
	for _, item := range preparation.OnSite(acres, hours, people) {
		rows = append(rows, OnSiteRow{item.Words(), item.Why, item.Standing})
	}
	return rows
}
