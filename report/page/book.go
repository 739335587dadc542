package page

import (
	"fmt"
	"io"

	"emberquilt/report/view"
)

// Book is what a program book is written from. Program is required.
type Book struct {
	Program *view.Program
	// Due is the coming season; nil leaves it out.
	Due *view.Due
	// Calendar is the windows of one year; nil, or one without a burn, leaves it out.
	Calendar *view.Calendar
	// Weather is what the record says; nil leaves it out.
	Weather *view.Weather
	// Rehearsal is what the newest rehearsal of the plan found; nil leaves it out.
	Rehearsal *view.Rehearsal
	// Cards are drawings of wind cards, shown with the units of the season.
	Cards []Map
	// Maps are shown in their order.
	Maps []Map
	// AsBurned is what burned, with its drawing; nil leaves it out.
	AsBurned  *view.AsBurned
	BurnedMap *Map
	// Breaks are feet of break by plan year; nil leaves them out.
	Breaks *view.Breaks
	// Tries sets what-ifs beside the plan; nil leaves them out.
	Tries *view.Beside
}

// bookPage is what the template reads.
type bookPage struct {
	frame
	*Book
	BurnedPart                  *burnedPart
	Burned, Seasons, Cost, Past Chart
	// Year is nil without a calendar.
	Year        *timeline
	Days, Heats []Chart
	Mixes       [][]Chart
	Cover       []Chart
	Fans        []Chart
	RuleBars    []ruleBar
	// Sides are the tries; nil without.
	Sides *sides
}

// WriteBook writes the program book as one HTML file.
func WriteBook(w io.Writer, b *Book) error {
	v := b.Program
	if b.Calendar != nil && len(b.Calendar.Rows) == 0 {
		without := *b
		without.Calendar = nil
		b = &without
	}
	data := bookPage{Book: b, BurnedPart: newBurnedPart(b.AsBurned, b.BurnedMap)}
	if data.BurnedPart != nil {
		data.BurnedPart.Rows = v.AsBurnedOnPaper(b.AsBurned)
	}
	var all []Chart
	add := func(c Chart) Chart {
		all = append(all, c)
		return c
	}
	if v.Cost != nil {
		data.Burned, data.Seasons, data.Cost = add(burnedChart(v)), add(seasonChart(v)), add(costChart(v))
		for m := range v.Mixes {
			charts := classCharts(v, m)
			all = append(all, charts...)
			data.Mixes = append(data.Mixes, charts)
		}
	}
	if b.Tries != nil {
		data.Sides = &sides{b.Tries, add(besideChart(b.Tries))}
	}
	if b.Calendar != nil {
		data.Year = newTimeline(b.Calendar)
	}
	if b.Weather != nil {
		for i := range b.Weather.Seasons {
			data.Days = append(data.Days, add(daysChart(&b.Weather.Seasons[i], i)))
		}
		for i := range b.Weather.Heats {
			data.Heats = append(data.Heats, add(heatChart(&b.Weather.Heats[i], i)))
		}
	}
	if b.Rehearsal != nil {
		data.Fans, data.RuleBars = rehearsalCharts(b.Rehearsal), ruleBars(b.Rehearsal)
		all = append(all, data.Fans...)
	}
	if v.History != nil {
		data.Past = add(pastChart(v.History))
		for m := range v.History.Mixes {
			data.Cover = append(data.Cover, add(coverChart(v.History, m)))
		}
	}
	title := fmt.Sprintf("Program book, %s", view.Cut(view.Plain(v.Stamp.Property), 120))
	data.frame = newFrame(title, v.Stamp, all)
	return write(w, "book", data)
}
