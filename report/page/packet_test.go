package page

import (
	"bytes"
	"fmt"
	"html"
	"math/rand/v2"
	"os"
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"emberquilt/report/internal/sample"
	"emberquilt/report/svgmap"
	"emberquilt/report/view"
)

func packetHTML(t *testing.T, v *view.Packet) string {
	t.Helper()
	draw := func(m *view.Map, id string, columns int) *Map {
		text, err := (&svgmap.Sheet{Map: *m, ID: id, Columns: columns}).HTML()
		if err != nil {
			t.Fatal(err)
		}
		return &Map{Title: m.Caption, HTML: text}
	}
	var units, burned *Map
	if v.Units != nil {
		units = draw(v.Units.Map, "units", 1)
	}
	if v.AsBurned != nil && v.AsBurned.Map != nil {
		burned = draw(v.AsBurned.Map, "burned", 2)
	}
	var b bytes.Buffer
	if err := WritePacket(&b, v, units, burned); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestPacketGolden(t *testing.T) {
	in := sample.Packet()
	in.Property.Land.Farm, in.Property.Land.Tract = "2210", "4471"
	in.Units[0].Land.Field = "3"
	in.Contract.Items[0].Item = "4a"
	text := packetHTML(t, view.NewPacket(in))
	golden(t, "packet.html", []byte(text))
	if path := os.Getenv("PAPERS"); path != "" {
		os.WriteFile(path+"/packet.html", []byte(text), 0o644)
	}
	for _, want := range []string{"farm 2210, tract 4471", "field 3", "item 4a", "not a permit", "We certify", "As burned, by federal fiscal year", "in the contract, done", ">10.9 acres remain<", "due under a contract, not done"} {
		if !strings.Contains(text, want) {
			t.Errorf("the packet does not say %q", want)
		}
	}
}

func TestHostilePacketIsInert(t *testing.T) {
	in := sample.Packet()
	const hostile = "</script><img src=x onerror=alert(1)>=1+1"
	in.Contract.Name, in.Contract.Client, in.Contract.Notes, in.Contract.Items[0].Item = hostile, hostile, hostile, hostile
	in.Property.Land.Section, in.Records[0].Notes, in.Records[0].Crew = hostile, hostile, hostile
	if text := packetHTML(t, view.NewPacket(in)); strings.Contains(text, "<img src=x") || strings.Contains(text, "</script><img") {
		t.Error("a user's text became markup")
	}
}

var scheduleRow = regexp.MustCompile(`<tr><th scope="row" class="brief">(\d+).*?<td class="num">([\d.,]+)</td><td class="num">([\d.,]+)</td><td class="num">([\d.,]+)</td><td class="num">([\d.,]+)</td><td class="num">([\d.,]+)</td><td class="num">([\d.,]+)</td>`)

// TestPacketPagesAgainstDecimals holds the figures that stand on the pages of 200 random
// clients against the script in exact decimals.
func TestPacketPagesAgainstDecimals(t *testing.T) {
	const seed, count = 17, 200
	r := rand.New(rand.NewPCG(seed, 0))
	var inputs []*view.PacketInput
	var pages []string
	for range count {
		in := sample.RandomPacket(r)
		inputs, pages = append(inputs, in), append(pages, packetHTML(t, view.NewPacket(in)))
	}
	figures := 0
	for i, want := range sample.Recompute(t, "../view/testdata/recompute.py", sample.Question(inputs)) {
		_, schedule, _ := strings.Cut(html.UnescapeString(pages[i]), "<h2>Schedule by unit</h2>")
		schedule, _, _ = strings.Cut(schedule, "</table>")
		var rows [][]any
		for _, found := range scheduleRow.FindAllStringSubmatch(schedule, -1) {
			line, _ := strconv.ParseFloat(found[1], 64)
			row := []any{line}
			for _, cell := range found[2:] {
				row = append(row, strings.ReplaceAll(cell, ",", ""))
			}
			rows = append(rows, row)
		}
		for _, row := range want.Rows {
			for k := 1; k < len(row); k++ {
				row[k] = sample.Tenths(row[k].(string))
				figures++
			}
		}
		if !reflect.DeepEqual(rows, want.Rows) {
			t.Fatalf("seed %d, client %d:\n%v\nwant\n%v", seed, i, rows, want.Rows)
		}
		_, sums, _ := strings.Cut(pages[i], "<h2>Practices")
		sums, _, _ = strings.Cut(sums, "</table>")
		for k, name := range []string{"planned", "credited", "remaining", "planned_to_date", "behind_to_date", "ahead_to_date", "planned_this_year", "remaining_this_year", "over"} {
			cells := regexp.MustCompile(`<td class="num">([\d.,]+)</td>`).FindAllStringSubmatch(sums, -1)
			if got := strings.ReplaceAll(cells[k][1], ",", ""); got != sample.Tenths(want.Sums[name]) {
				t.Fatalf("seed %d, client %d: %s is %s on the page, want %s", seed, i, name, got, fmt.Sprint(want.Sums[name]))
			}
			figures++
		}
	}
	t.Logf("%d figures on the pages of %d clients", figures, count)
}
