package cli

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/report/pdf"
	"emberquilt/report/table"
	"emberquilt/report/view"
)

// packetRun writes packets into one folder: those of one property or of many.
// It keeps lines of sums, never a packet, so that memory does not grow with the
// number of properties.
type packetRun struct {
	folder string
	// taken are the names that this run has given out.
	taken map[string]bool
	// sums has the lines of the summary.
	sums *table.Sheet
}

func newPacketRun(folder string) *packetRun {
	return &packetRun{folder: folder, taken: map[string]bool{}, sums: table.PacketSummary(nil)}
}

// summaryName is the name, without ending, of the summary of many packets.
const summaryName = "packet-summary"

// name gives a packet's path without ending. Two of one name in one run stand
// side by side with numbers.
func (r *packetRun) name(property, contract string) string {
	word := fileWord(property + " " + contract)
	name := word
	for n := 2; r.taken[name] || name == summaryName; n++ {
		name = fmt.Sprintf("%s-%d", word, n)
	}
	r.taken[name] = true
	return filepath.Join(r.folder, name)
}

// property writes the packets of one property, a computation each, and gives
// their names.
func (r *packetRun) property(ctx context.Context, a *terminal, d *app.Session) ([]string, error) {
	if len(d.Contracts) == 0 {
		return nil, nil
	}
	var planned []habitat.PlannedBurn
	if len(d.Plans) > 0 {
		kept, err := d.Plan(ctx, 0)
		if err != nil {
			return nil, err
		}
		planned = kept.Burns()
	}
	if err := os.MkdirAll(r.folder, 0o777); err != nil {
		return nil, fmt.Errorf("make %s: %w", r.folder, cause(err))
	}
	warnings := fileWarnings(d)
	var written []string
	for _, contract := range d.Contracts {
		if err := ctx.Err(); err != nil {
			return written, err
		}
		packet := view.NewPacket(&view.PacketInput{Stamp: d.Stamp(), Property: d.Property, Units: d.Units, Records: d.Records, Contract: contract, Planned: planned, Shapes: d.Current().Shapes})
		packet.Warnings = slices.Concat(packet.Warnings, view.Undated(&contract), warnings, contractFileWarnings(d, &contract))
		base := r.name(d.Property.Name, contract.Name)
		err := a.write(
			output{base + ".pdf", func(w io.Writer) error { return pdf.Packet(w, packet) }},
			output{base + ".xlsx", func(w io.Writer) error { return table.WriteXLSX(w, packet.Stamp, table.PacketSheets(packet)...) }},
			output{base + ".csv", table.ScheduleSheet(packet).WriteCSV},
		)
		if err != nil {
			return written, err
		}
		written = append(written, base+".pdf", base+".xlsx", base+".csv")
		r.sums.Rows = append(r.sums.Rows, table.PacketSummary([]*view.Packet{packet}).Rows...)
	}
	return written, nil
}

// fileWarnings says which files of the records are not what they were.
func fileWarnings(d *app.Session) []string {
	var all []string
	for _, s := range d.RecordFiles() {
		if !s.IsGood {
			all = append(all, fmt.Sprintf("file %s of burn %d: %s", s.Path, s.Burn, s.State))
		}
	}
	return all
}

func contractFileWarnings(d *app.Session, c *habitat.Contract) []string {
	var all []string
	for _, s := range d.ContractFiles(c) {
		if !s.IsGood {
			all = append(all, fmt.Sprintf("file %s of the contract: %s", s.Path, s.State))
		}
	}
	return all
}

// packetSummary is what became of each property.
type packetSummary struct {
	File    string   `json:"property_file"`
	Written []string `json:"written"`
	Failed  string   `json:"failed,omitempty"`
}

// allPackets goes through many property files and on past those that fail.
func (a *terminal) allPackets(ctx context.Context, named []string, folder string) error {
	files, err := propertyFiles(named)
	if err != nil {
		return err
	}
	shown := a.startProgress("writing packets")
	defer shown.stop()
	run := newPacketRun(folder)
	var summary []packetSummary
	failed := 0
	for i, file := range files {
		shown.say(fmt.Sprintf("writing packets: %d of %d, %s", i+1, len(files), file))
		one := *a
		one.property = file
		s := packetSummary{File: file, Written: []string{}}
		err := one.session(ctx, app.ToRead, func(d *app.Session) (err error) {
			s.Written, err = run.property(ctx, &one, d)
			return err
		})
		if ctx.Err() != nil {
			return &app.Interrupted{Done: fmt.Sprintf("%d of %d properties were done", i, len(files))}
		}
		if err != nil {
			s.Failed = err.Error()
			failed++
		}
		summary = append(summary, s)
	}
	shown.say("writing the summary")
	sums, err := a.writePacketSummary(run, summary)
	shown.stop()
	if err != nil {
		return err
	}
	if err := a.printPackets(summary, sums); err != nil || failed == 0 {
		return err
	}
	return fmt.Errorf("%d of %d properties failed", failed, len(files))
}

// propertyFiles lists the property files that are named and those of the
// folders that are named, each once; those of this folder where nothing is.
func propertyFiles(named []string) ([]string, error) {
	if len(named) == 0 {
		named = []string{"."}
	}
	var files []string
	for _, name := range named {
		found := []string{name}
		// A file that is not there fails for itself and holds up no other.
		if info, err := os.Stat(name); err == nil && info.IsDir() {
			found = nil
			entries, err := os.ReadDir(name) // sorted by name; a pattern would take brackets amiss
			if err != nil {
				return nil, noFile(name, err)
			}
			for _, entry := range entries {
				if !entry.IsDir() && strings.HasSuffix(entry.Name(), extension) {
					found = append(found, filepath.Join(name, entry.Name()))
				}
			}
			if len(found) == 0 {
				return nil, usagef("%s: holds no property file; accepts property files (*%s), or folders with some", name, extension)
			}
		}
		for _, file := range found {
			if !slices.Contains(files, file) {
				files = append(files, file)
			}
		}
	}
	return files, nil
}

// writePacketSummary writes the sums of all packets and what became of each
// property as a workbook, and the sums as CSV.
func (a *terminal) writePacketSummary(run *packetRun, summary []packetSummary) ([]string, error) {
	today, err := a.day()
	if err != nil {
		return nil, err
	}
	if err := os.MkdirAll(run.folder, 0o777); err != nil {
		return nil, fmt.Errorf("make %s: %w", run.folder, cause(err))
	}
	became := &table.Sheet{Name: "properties", Header: []string{"property_file", "state", "packets"}}
	for _, s := range summary {
		state := "done"
		switch {
		case s.Failed != "":
			state = "FAILED: " + s.Failed
		case len(s.Written) == 0:
			state = "no contract"
		}
		became.Rows = append(became.Rows, []any{s.File, state, len(s.Written) / 3})
	}
	stamp := view.Stamp{On: today, Property: fmt.Sprintf("%d property files", len(summary)), Data: "that of each packet", Program: "emberquilt " + version}
	base := filepath.Join(run.folder, summaryName)
	return []string{base + ".xlsx", base + ".csv"}, a.write(
		output{base + ".xlsx", func(w io.Writer) error { return table.WriteXLSX(w, stamp, run.sums, became) }},
		output{base + ".csv", run.sums.WriteCSV},
	)
}

func (a *terminal) printPackets(summary []packetSummary, sums []string) error {
	if a.json {
		return a.printJSON(summary)
	}
	for _, s := range summary {
		switch {
		case s.Failed != "":
			fmt.Fprintf(a.Out, "%s: FAILED: %s\n", s.File, s.Failed)
		case len(s.Written) == 0:
			fmt.Fprintf(a.Out, "%s: no contract\n", s.File)
		default:
			fmt.Fprintf(a.Out, "%s: %s\n", s.File, strings.Join(s.Written, ", "))
		}
	}
	return a.say("summary: %s", strings.Join(sums, ", "))
}
