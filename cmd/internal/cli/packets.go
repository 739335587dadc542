package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/quantity"
	"emberquilt/report/page"
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
	// altered counts the attached files that are gone or altered.
	altered int
}

func newPacketFolder(folder string) *packetFolder {
	return &packetFolder{folder: folder, taken: map[string]bool{}, sums: table.PacketSummary(nil)}
}

// summaryName is the name, without ending, of the summary of many packets.
const summaryName = "packet-summary"

// name gives a packet's path without ending. Two of one name stand side by side
// with numbers, also where the other was written earlier, for another property.
func (f *packetFolder) name(p *view.Packet) string {
	word := fileWord(p.Stamp.Property + " " + p.Contract)
	if p.Stamp.AsOf != "" { // beside the packet of today
		number, _, _ := view.ParseStamp(p.Stamp.Data)
		word += fmt.Sprintf("-as-of-change-%d", number)
	}
	name := word
	for n := 2; f.taken[name] || name == summaryName || isOfAnother(filepath.Join(f.folder, name+".pdf"), p.Stamp.ID); n++ {
		name = fmt.Sprintf("%s-%d", word, n)
	}
	f.taken[name] = true
	return filepath.Join(f.folder, name)
}

// isOfAnother reports whether a packet of another property lies at a path.
func isOfAnother(path, id string) bool {
	data, err := os.ReadFile(path)
	if err != nil {
		return false
	}
	at := bytes.LastIndex(data, []byte(pdf.PropertyMark))
	return at >= 0 && !bytes.HasPrefix(data[at+len(pdf.PropertyMark):], []byte(id))
}

// make makes the folder where it is not there.
func (f *packetFolder) make() error {
	if err := os.MkdirAll(f.folder, 0o777); err != nil {
		return fmt.Errorf("make %s: %w", f.folder, cause(err))
	}
	return nil
}

// packetForms are the forms of a packet, by the endings of their files: one value,
// written five times.
func packetForms(p *view.Packet, path string) map[string]output {
	base := strings.TrimSuffix(path, filepath.Ext(path))
	form := func(ending string, write func(io.Writer) error) output {
		return output{base + ending, write}
	}
	return map[string]output{
		".pdf":  form(".pdf", func(w io.Writer) error { return pdf.Packet(w, p) }),
		".xlsx": form(".xlsx", func(w io.Writer) error { return table.WriteXLSX(w, p.Stamp, table.PacketSheets(p)...) }),
		".csv":  form(".csv", func(w io.Writer) error { return table.ScheduleSheet(p).WriteCSV(w) }),
		".html": form(".html", func(w io.Writer) error {
			burned, err := burnedMap(p.AsBurned)
			if err != nil {
				return err
			}
			units, err := contractMap(p.Units)
			if err != nil {
				return err
			}
			return page.WritePacket(w, p, units, burned)
		}),
		".json": form(".json", func(w io.Writer) error { return writeJSON(w, p) }),
	}
}

// packetEndings are those of the forms that are written side by side.
var packetEndings = []string{".pdf", ".xlsx", ".csv", ".html"}

// write writes a packet in its forms and gives their names.
func (f *packetFolder) write(a *terminal, p *view.Packet) ([]string, error) {
	if err := f.make(); err != nil {
		return nil, err
	}
	base := f.name(p)
	endings := packetEndings
	if a.json {
		endings = append(slices.Clip(endings), ".json")
	}
	forms := packetForms(p, base+".pdf")
	var all []output
	var names []string
	for _, ending := range endings {
		all, names = append(all, forms[ending]), append(names, base+ending)
	}
	if err := a.writePrivate(all...); err != nil {
		return nil, err
	}
	f.altered += p.FilesAltered()
	f.sums.Rows = append(f.sums.Rows, table.PacketSummary([]*view.Packet{p}).Rows...)
	return names, nil
}

// writtenPacket is a packet as JSON, with the files that say the same.
type writtenPacket struct {
	*view.Packet
	Written []string `json:"written"`
}

// runPackets writes the packets of the property.
func (a *terminal) runPackets(ctx context.Context, o packetOptions) error {
	return a.packetSession(ctx, o, func(s *app.Session) error {
		if form := filepath.Ext(o.folder); packetForms(nil, "")[form].Write != nil {
			return a.writeOnePacket(ctx, s, o.folder)
		}
		var written []string
		packets := []writtenPacket{}
		into := newPacketFolder(o.folder)
		err := s.Packets(ctx, func(p *view.Packet) error {
			names, err := into.write(a, p)
			written = append(written, names...)
			if a.json {
				packets = append(packets, writtenPacket{p, names})
			}
			return err
		})
		switch {
		case err != nil:
			return err
		case a.json:
			return errors.Join(a.printJSON(map[string]any{"packets": packets}), into.filesFault())
		case len(written) == 0:
			return a.say("%s has no contract; emberquilt import reads them from a file", s.Property.Name)
		}
		if err := a.say("%s", strings.Join(written, "\n")); err != nil {
			return err
		}
		return into.filesFault()
	})
}

// writeOnePacket writes the packet of the only contract, in the form that the file's
// ending asks for.
func (a *terminal) writeOnePacket(ctx context.Context, s *app.Session, path string) error {
	if n := len(s.Contracts); n != 1 {
		return flagError("output", "a folder, which takes a packet of each contract", "%s is one file, and %s has %s", quote(path), s.Property.Name, quantity.Count(n, "contract"))
	}
	return s.Packets(ctx, func(p *view.Packet) error {
		if err := a.writePrivate(packetForms(p, path)[filepath.Ext(path)]); err != nil {
			return err
		}
		into := packetFolder{altered: p.FilesAltered()}
		if a.json {
			return errors.Join(a.printJSON(map[string]any{"packets": []writtenPacket{{p, []string{path}}}}), into.filesFault())
		}
		return errors.Join(a.say("%s", path), into.filesFault())
	})
}

// packetSession opens the property as the packets are to show it.
func (a *terminal) packetSession(ctx context.Context, o packetOptions, do func(*app.Session) error) error {
	if o.asOf == "" {
		return a.session(ctx, app.ToRead, do)
	}
	at, err := app.ParseAsOf(o.asOf, o.on.Day)
	if err != nil {
		return namedAs(err, sameFlag)
	}
	path, from, err := a.propertyFile()
	if err != nil {
		return err
	}
	s, err := app.OpenAsOf(ctx, path, at, from)
	if err != nil {
		return err
	}
	return errors.Join(do(s), s.Close())
}

// filesFault says that attached files are not what they were; the packets name them.
func (f *packetFolder) filesFault() error {
	if f.altered == 0 {
		return nil
	}
	return fmt.Errorf("%s gone or altered since, and the packets say so", quantity.Count(f.altered, "attached file is", "attached files are"))
}

// runAllPackets goes through many property files and on past those that fail.
func (a *terminal) runAllPackets(ctx context.Context, o packetOptions) error {
	files, err := app.PropertyFiles(o.named)
	if err != nil {
		return namedAs(err, asItIs)
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
	if err := a.printPackets(run.All, sums); err != nil {
		return err
	}
	if run.Failed == 0 {
		return into.filesFault()
	}
	return fmt.Errorf("%d of %d properties failed", run.Failed, len(files))
}

// writePacketSummary writes the sums of all packets and what became of each
// property as a workbook, and the sums as CSV.
func (a *terminal) writePacketSummary(into *packetFolder, run *app.PacketRun) ([]string, error) {
	if err := into.make(); err != nil {
		return nil, err
	}
	became := table.PropertiesSheet(run.All)
	base := filepath.Join(into.folder, summaryName)
	return []string{base + ".xlsx", base + ".csv"}, a.writePrivate(
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
		if all[i].CopyOf != "" {
			fmt.Fprintln(a.Err, view.CopyWords(all[i].File, all[i].CopyOf))
		}
	}
	return a.say("summary: %s", strings.Join(sums, ", "))
}
