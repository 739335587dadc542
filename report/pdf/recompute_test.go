package pdf

import (
	"bytes"
	"math/rand/v2"
	"os"
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
)

var printedRow = regexp.MustCompile(`(?m)^ *(\d+) +\d{4}(?:–\d*)? +338 +(?:u\d|whole) +([\d.,]+) +([\d.,]+) +([\d.,]+) +([\d.,]+) +([\d.,]+) +([\d.,]+)`)

// TestPrintedPacketsAgainstDecimals holds the figures that pdftotext (poppler) reads on
// the packets of random clients against the script in exact decimals. EMBERQUILT_CLIENTS
// is how many.
func TestPrintedPacketsAgainstDecimals(t *testing.T) {
	const seed = 18
	count := 20
	if n, err := strconv.Atoi(os.Getenv("EMBERQUILT_CLIENTS")); err == nil {
		count = n
	}
	r := rand.New(rand.NewPCG(seed, 0))
	var inputs []*view.PacketInput
	for range count {
		inputs = append(inputs, sample.RandomPacket(r))
	}
	for i, want := range sample.Recompute(t, "../view/testdata/recompute.py", sample.Question(inputs)) {
		var paper bytes.Buffer
		if err := Packet(&paper, view.NewPacket(inputs[i])); err != nil {
			t.Fatal(err)
		}
		text, _ := textOf(t, paper.Bytes())
		var rows [][]any
		for _, found := range printedRow.FindAllStringSubmatch(text, -1) {
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
			}
		}
		if !reflect.DeepEqual(rows, want.Rows) {
			t.Fatalf("seed %d, client %d:\n%v\nwant\n%v\n%s", seed, i, rows, want.Rows, text)
		}
	}
}
