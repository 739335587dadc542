package pdf

import (
	"bytes"
	"encoding/xml"
	"os/exec"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/report/view"
)

// TestWordsOfNarrowUnitsStandOnTheMap holds what became of units that are too narrow for
// it, at both edges of the map: the map's edge would cut its first or last letters off.
// pdftotext (poppler) says where each word stands.
func TestWordsOfNarrowUnitsStandOnTheMap(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("no pdftotext on this machine: the map is not read back")
	}
	in := &view.PacketInput{Property: habitat.NewProperty("Strip"), Stamp: view.Stamp{On: date.MustDay(2027, 3, 1)}, Shapes: map[string]ground.Shape{}}
	in.Contract = habitat.Contract{Name: "Grass", Practices: []habitat.Practice{{Code: "338", Name: "Prescribed Burning", Measure: habitat.InAcres, Burns: true}}}
	for i, name := range []string{"Western Strip", "Eastern Strip"} {
		west := -96.5 + 0.03*float64(i)
		corner := func(east, north float64) ground.Point { return ground.Point{Lon: west + east, Lat: 38.9 + north} }
		in.Shapes[name] = ground.Shape{Polygons: []ground.Polygon{{Outer: []ground.Point{corner(0, 0), corner(0.002, 0), corner(0.002, 0.002), corner(0, 0.002), corner(0, 0)}}}}
		in.Units = append(in.Units, habitat.Unit{ID: name, Acres: 9.6, BurnDays: 1, Interval: habitat.Interval{Min: 1, Max: 3}})
		in.Contract.Items = append(in.Contract.Items, habitat.ContractItem{Unit: name, Practice: "338", FiscalYear: 2026, Planned: 9.6})
		on := date.MustDay(2026, 2, 1+i)
		in.Records = append(in.Records, habitat.BurnRecord{ID: int64(i + 1), Unit: name, Kind: habitat.Prescribed, On: on, Through: on, Acres: 4.4, HasAcres: true})
	}
	in.Contract.NumberLines()
	var paper bytes.Buffer
	if err := Packet(&paper, view.NewPacket(in)); err != nil {
		t.Fatal(err)
	}
	command := exec.Command("pdftotext", "-bbox", "-", "-")
	command.Stdin = &paper
	out, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	const points = 72 / 25.4
	asked, decoder := 0, xml.NewDecoder(bytes.NewReader(out))
	decoder.Strict = false
	for {
		token, err := decoder.Token()
		if err != nil {
			break
		}
		start, ok := token.(xml.StartElement)
		if !ok || start.Name.Local != "word" {
			continue
		}
		var word struct {
			Left  float64 `xml:"xMin,attr"`
			Right float64 `xml:"xMax,attr"`
			Text  string  `xml:",chardata"`
		}
		if err := decoder.DecodeElement(&word, &start); err != nil {
			t.Fatal(err)
		}
		asked++
		if word.Left < side*points || word.Right > (side+textWidth)*points {
			t.Errorf("%q stands from %.1f to %.1f points; the page's text from %.1f to %.1f", word.Text, word.Left, word.Right, side*points, (side+textWidth)*points)
		}
	}
	if asked < 100 {
		t.Errorf("only %d words were looked at", asked)
	}
}
