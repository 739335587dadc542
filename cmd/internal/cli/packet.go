package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/habitat"
	"emberquilt/report/pdf"
	"emberquilt/report/table"
	"emberquilt/report/view"
)

// errNothing says that a paper has nothing to hold for this property.
var errNothing = errors.New("there is nothing to write")

func (a *app) packetCommand() *cobra.Command {
	var folder string
	var all bool
	cmd := &cobra.Command{
		Use:   "packet [FILE…]",
		Short: "Write the cost-share packet of each contract (PDF, XLSX, CSV)",
		Long: withStatus(`Packet writes for each contract of the property what was planned by unit and federal
fiscal year, what was applied, the variance and what remains, completion records with
their readings, and a list of attached files with checksums. With --all it takes every
property file of a folder, or the files that are named, goes on past one that fails and
says which.`, statusBadInput),
		Example: "  emberquilt packet --output packets\n  emberquilt packet --all clients/*.emberquilt --output packets",
		GroupID: groupPaper,
		RunE: func(cmd *cobra.Command, args []string) error {
			if !all {
				if len(args) > 0 {
					return usagef("%s is one word too many; accepts property files with --all only", quote(args[0]))
				}
				return a.sit(cmd.Context(), a.read, func(d *desk) error {
					written, err := a.packets(cmd.Context(), d, folder)
					if err != nil {
						return err
					}
					if len(written) == 0 {
						return a.say("%s has no contract; emberquilt import reads them from a file", d.Property.Name)
					}
					return a.say("%s", strings.Join(written, "\n"))
				})
			}
			return a.allPackets(cmd.Context(), args, folder)
		},
	}
	cmd.Flags().StringVarP(&folder, "output", "o", ".", "write into this `FOLDER`")
	cmd.Flags().BoolVar(&all, "all", false, "take all property files that are named, or those of this folder")
	return cmd
}

// packets writes the packets of one property and gives their names.
func (a *app) packets(ctx context.Context, d *desk, folder string) ([]string, error) {
	var planned []habitat.PlannedBurn
	if len(d.Plans) > 0 {
		kept, err := d.plan(ctx, 0)
		if err != nil {
			return nil, err
		}
		planned = kept.burns()
	}
	if len(d.Contracts) > 0 {
		if err := os.MkdirAll(folder, 0o777); err != nil {
			return nil, fmt.Errorf("make %s: %w", folder, cause(err))
		}
	}
	var written []string
	for _, contract := range d.Contracts {
		packet := view.NewPacket(&view.PacketInput{Stamp: d.stamp(), Property: d.Property, Units: d.Units, Records: d.Records, Contract: contract, Planned: planned, Shapes: d.Current().Shapes})
		base := filepath.Join(folder, fileWord(d.Property.Name+" "+contract.Name))
		err := a.write(
			output{base + ".pdf", func(w io.Writer) error { return pdf.Packet(w, packet) }},
			output{base + ".xlsx", func(w io.Writer) error { return table.WriteXLSX(w, packet.Stamp, table.PacketSheets(packet)...) }},
			output{base + ".csv", table.ScheduleSheet(packet).WriteCSV},
		)
		if err != nil {
			return written, err
		}
		written = append(written, base+".pdf", base+".xlsx", base+".csv")
	}
	return written, nil
}

// packetSummary is what became of each property.
type packetSummary struct {
	File    string   `json:"property_file"`
	Written []string `json:"written"`
	Failed  string   `json:"failed,omitempty"`
}

// allPackets goes through many property files and on past those that fail.
func (a *app) allPackets(ctx context.Context, files []string, folder string) error {
	if len(files) == 0 {
		var err error
		if files, err = filepath.Glob("*" + extension); err != nil {
			return err
		}
		if len(files) == 0 {
			return usagef("there is no property file in this folder; accepts property files")
		}
	}
	shown := a.startProgress("writing packets")
	defer shown.stop()
	var summary []packetSummary
	failed := 0
	for i, file := range files {
		shown.say(fmt.Sprintf("writing packets: %d of %d, %s", i+1, len(files), file))
		if err := ctx.Err(); err != nil {
			return interrupted{fmt.Sprintf("%d of %d properties were done", i, len(files))}
		}
		one := *a
		one.property = file
		s := packetSummary{File: file, Written: []string{}}
		err := one.sit(ctx, one.read, func(d *desk) (err error) {
			s.Written, err = one.packets(ctx, d, folder)
			return err
		})
		if err != nil {
			s.Failed = err.Error()
			failed++
		}
		summary = append(summary, s)
	}
	shown.stop()
	if err := a.printPackets(summary); err != nil || failed == 0 {
		return err
	}
	return fmt.Errorf("%d of %d properties failed", failed, len(files))
}

func (a *app) printPackets(summary []packetSummary) error {
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
	return nil
}

func packetPaper() paper {
	return paper{"cost-share-packet.pdf", "the packet of the contract: what was planned, applied and remains, with records and signature blanks", func(w io.Writer, m *material) error {
		if len(m.Contracts) == 0 {
			return errNothing
		}
		return pdf.Packet(w, view.NewPacket(&view.PacketInput{Stamp: m.stamp(), Property: m.Property, Units: m.Units, Records: m.Records,
			Contract: m.Contracts[0], Planned: m.kept.burns(), Shapes: m.Current().Shapes}))
	}}
}

// fileWord makes a name fit for a file of any system: letters, digits and
// hyphens, in small letters, at most 60.
func fileWord(name string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(name) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() >= 60 {
			break
		}
	}
	if word := strings.Trim(b.String(), "-"); word != "" {
		return word
	}
	return "unnamed"
}
