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
	"emberquilt/report/pdf"
	"emberquilt/report/table"
	"emberquilt/report/view"
)

// packetFolder takes packets as files: those of one property or of many. It keeps
// lines of sums, never a packet, so that memory does not grow with the number of
// properties.
type packetFolder struct {
	folder string
	// taken are the names that are given out.
	taken map[string]bool
	// sums has the lines of the summary.
	sums *table.Sheet
}

func newPacketFolder(folder string) *packetFolder {
	return &packetFolder{folder: folder, taken: map[string]bool{}, sums: table.PacketSummary(nil)}
}

// summaryName is the name, without ending, of the summary of many packets.
const summaryName = "packet-summary"

// name gives a packet's path without ending. Two of one name stand side by side
// with numbers.
func (f *packetFolder) name(p *view.Packet) string {
	word := fileWord(p.Stamp.Property + " " + p.Contract)
	name := word
	for n := 2; f.taken[name] || name == summaryName; n++ {
		name = fmt.Sprintf("%s-%d", word, n)
	}
	f.taken[name] = true
	return filepath.Join(f.folder, name)
}

// make makes the folder where it is not there.
func (f *packetFolder) make() error {
	if err := os.MkdirAll(f.folder, 0o777); err != nil {
		return fmt.Errorf("make %s: %w", f.folder, cause(err))
	}
	return nil
}

// write writes a packet in its three forms and gives their names.
func (f *packetFolder) write(a *terminal, p *view.Packet) ([]string, error) {
	if err := f.make(); err != nil {
		return nil, err
	}
	base := f.name(p)
	err := a.write(
		output{base + ".pdf", func(w io.Writer) error { return pdf.Packet(w, p) }},
		output{base + ".xlsx", func(w io.Writer) error { return table.WriteXLSX(w, p.Stamp, table.PacketSheets(p)...) }},
		output{base + ".csv", table.ScheduleSheet(p).WriteCSV},
	)
	if err != nil {
		return nil, err
	}
	f.sums.Rows = append(f.sums.Rows, table.PacketSummary([]*view.Packet{p}).Rows...)
	return []string{base + ".pdf", base + ".xlsx", base + ".csv"}, nil
}

// runPackets writes the packets of the property.
func (a *terminal) runPackets(ctx context.Context, o packetOptions) error {
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		var written []string
		into := newPacketFolder(o.folder)
		err := s.Packets(ctx, func(p *view.Packet) error {
			names, err := into.write(a, p)
			written = append(written, names...)
			return err
		})
		switch {
		case err != nil:
			return err
		case len(written) == 0:
			return a.say("%s has no contract; emberquilt import reads them from a file", s.Property.Name)
		}
		return a.say("%s", strings.Join(written, "\n"))
	})
}

// runAllPackets goes through many property files and on past those that fail.
func (a *terminal) runAllPackets(ctx context.Context, o packetOptions) error {
	files, err := propertyFiles(o.named)
	if err != nil {
		return err
	}
	from, err := a.environment()
	if err != nil {
		return err
	}
	into := newPacketFolder(o.folder)
	run, err := app.PacketsOfAll(ctx, files, from, func(p *view.Packet) ([]string, error) { return into.write(a, p) })
	if err != nil {
		return err
	}
	sums, err := a.writePacketSummary(into, run)
	if err != nil {
		return err
	}
	if err := a.printPackets(run.All, sums); err != nil || run.Failed == 0 {
		return err
	}
	return fmt.Errorf("%d of %d properties failed", run.Failed, len(files))
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
func (a *terminal) writePacketSummary(into *packetFolder, run *app.PacketRun) ([]string, error) {
	if err := into.make(); err != nil {
		return nil, err
	}
	became := table.PropertiesSheet(run.All)
	base := filepath.Join(into.folder, summaryName)
	return []string{base + ".xlsx", base + ".csv"}, a.write(
		output{base + ".xlsx", func(w io.Writer) error { return table.WriteXLSX(w, run.Stamp, into.sums, became) }},
		output{base + ".csv", into.sums.WriteCSV},
	)
}

func (a *terminal) printPackets(all []view.PropertyPackets, sums []string) error {
	if a.json {
		return a.printJSON(all)
	}
	for i := range all {
		state := all[i].State()
		if all[i].Failed == "" && len(all[i].Written) > 0 {
			state = strings.Join(all[i].Written, ", ")
		}
		fmt.Fprintf(a.Out, "%s: %s\n", all[i].File, state)
	}
	return a.say("summary: %s", strings.Join(sums, ", "))
}
