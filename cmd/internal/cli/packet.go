package cli

import (
	"context"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/pdf"
	"emberquilt/report/view"
)

func (a *terminal) packetCommand() *cobra.Command {
	var folder string
	var all bool
	cmd := &cobra.Command{
		Use:   "packet [FILE or FOLDER…]",
		Short: "Write the cost-share packet of each contract (PDF, XLSX, CSV)",
		Long: withStatus(`Packet writes for each contract of the property what was planned by unit and federal
fiscal year, what was applied, the variance and what remains, completion records with
their readings, and a list of attached files with checksums; files that are gone or
altered are said. With --all it takes the property files and the folders that are named,
else this folder, writes a packet for each contract of each and a summary (XLSX, CSV),
goes on past one that fails, says which, and ends with status 1 then.`, statusBadInput),
		Example: "  emberquilt packet --output packets\n  emberquilt packet --all clients --output packets",
		GroupID: groupPaper,
		RunE: func(cmd *cobra.Command, args []string) error {
			if !all {
				if len(args) > 0 {
					return usagef("%s is one word too many; accepts property files and folders with --all only", quote(args[0]))
				}
				return a.session(cmd.Context(), app.ToRead, func(d *app.Session) error {
					written, err := newPacketRun(folder).property(cmd.Context(), a, d)
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
	cmd.Flags().BoolVar(&all, "all", false, "take all property files and folders that are named, or those of this folder")
	return cmd
}

func packetPaper() paper {
	return paper{"cost-share-packet.pdf", "the packet of the contract: what was planned, applied and remains, with records and signature blanks", func(_ context.Context, w io.Writer, c *app.Contents) error {
		s := c.Session
		if len(s.Contracts) == 0 {
			return app.ErrNothing
		}
		return pdf.Packet(w, view.NewPacket(&view.PacketInput{Stamp: s.Stamp(), Property: s.Property, Units: s.Units, Records: s.Records,
			Contract: s.Contracts[0], Planned: c.Stored.Burns(), Shapes: s.Current().Shapes}))
	}}
}

// longestWord bounds the bytes of a name that fileWord makes.
const longestWord = 60

// fileWord makes a name fit for a file of any system: letters and digits of any
// script and hyphens, in small letters, at most longestWord bytes.
func fileWord(name string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(name) {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) {
			if b.Len() == 0 || strings.HasSuffix(b.String(), "-") {
				continue
			}
			r = '-'
		}
		if b.Len()+utf8.RuneLen(r) > longestWord {
			break
		}
		b.WriteRune(r)
	}
	if word := strings.Trim(b.String(), "-"); word != "" {
		return word
	}
	return "unnamed"
}
