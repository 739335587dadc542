package window_test

import (
	"context"
	"fmt"
	"os"
	"strings"

	"emberquilt/habitat/date"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/weather"
	"emberquilt/habitat/weather/invented"
	"emberquilt/schedule/window"
)

// From two files to a table, without a property.
func ExampleCount() {
	const station = `# utc_offset: -6
time,temp_f,rh_pct,wind_mph,wind_from_deg,rain_in
2027-03-01 10:00,48,54,8,330,0.00
2027-03-01 11:00,52,47,9,340,0.00
2027-03-01 12:00,55,41,11,350,0.00
2027-03-01 13:00,57,38,12,10,0.00
2027-03-01 14:00,58,36,16,10,0.00
2027-03-01 15:00,58,35,17,10,0.00
2027-03-01 16:00,57,37,14,20,0.00
2027-03-01 17:00,54,41,10,20,0.00
2027-03-01 18:00,50,48,7,20,T
`
	const limits = `{"format": "prescription/1", "name": "grass", "rh_pct": [25, 50], "wind_mph": [3, 15], "wind_height": "10-m",
		"dry_hour": true, "burn_hours": ["09:00", "18:00"], "min_hours": 3}`

	record, err := weather.Read(context.Background(), []weather.File{{Name: "station.csv", Content: strings.NewReader(station)}}, weather.Options{})
	if err != nil {
		panic(err)
	}
	grass, err := prescription.Parse("grass.json", []byte(limits))
	if err != nil {
		panic(err)
	}
	counts, err := window.Count(record, grass, window.Options{})
	if err != nil {
		panic(err)
	}
	fmt.Printf("%+v\n", counts.Months[2]) // March: 11 to 13 o'clock, 16 and 17 count
	// Output: {KnownDays:1 CandidateDays:1 Hours:5}
}

// From ten invented years to the windows of a season.
func ExampleDays_Windows() {
	series := window.NewSeries(invented.Record(invented.Demo()))
	days, err := series.Evaluate(prescription.Starters()[0], window.Options{})
	if err != nil {
		panic(err)
	}
	crew := date.NewCrew()
	season := window.Season{Span: date.Span{First: date.MustDay(2027, 1, 15), Last: date.MustDay(2027, 3, 31)}, Crew: &crew}
	for _, w := range days.Windows(season, window.DefaultThreshold) {
		fmt.Fprintf(os.Stdout, "%s, %d usable days\n", w.Span, w.UsableDays)
	}
	burn := days.BurnDays(season, 0)
	fmt.Println(burn.Note)
	// Output:
	// 2027-01-15 to 2027-03-31, 52 usable days
	// 10 years of record; the poor year is the level at or below which one year in five lies
}
