package cli

import (
	"context"
	"crypto/sha256"
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/report/pdf"
)

// packetOptions are those of the packet command.
type packetOptions struct {
	// folder takes the packets.
	folder string
	// all takes the property files and folders that are named, or those of this
	// folder.
	all   bool
	named []string
	// asOf is a change or a date whose packet is written; empty writes that of today.
	asOf string
	// on is the day that counts as today for asOf.
	on dayFlag
}

func (a *terminal) packetCommand() *cobra.Command {
	var o packetOptions
	cmd := &cobra.Command{
		Use:   "packet [FILE or FOLDER…]",
		Short: "Write the cost-share packet of each contract (PDF, HTML, XLSX, CSV, JSON)",
		Long: withStatus(`Packet writes for each contract of the property what was planned by unit and federal
fiscal year, what was applied, what is behind, ahead and remains, each with the records
behind it, completion records with their readings, a map of what burned, signature
blanks, and a list of attached files with checksums; files that are gone or altered are
said. It writes a PDF, a page for a browser (HTML), a workbook and a CSV; where --output
names a file, that form alone: packet.html, packet.pdf, packet.xlsx, packet.csv or
packet.json. --json prints the packets as JSON. With --all it takes the property files and the folders that are named,
else this folder, writes a packet for each contract of each and a summary (XLSX, CSV),
goes on past one that fails, says which, and ends with status 1 then.

With --as-of it writes the packet as it was: after a change, named by its number or by the
stamp that a paper bears ("change 5 (b9dd05c4)"), or at the end of a day. The day of the
change counts as today then; --on names another, where the paper was printed later.

Personal data in it: the client and the owner, farm, tract and field numbers, who burned
and who was told of each burn, places such as houses. It is written so that only you can
read the files.`, statusBadInput),
		Example: "  emberquilt packet --output packets\n  emberquilt packet --all clients --output packets\n  emberquilt packet --as-of 'change 5 (b9dd05c4)' --output audit",
		GroupID: groupPaper,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.named = args
			return a.runPacket(cmd.Context(), o)
		},
	}
	cmd.Flags().StringVarP(&o.folder, "output", "o", ".", "write into this `FOLDER`, or one form to a file")
	cmd.Flags().BoolVar(&o.all, "all", false, "take all property files and folders that are named, or those of this folder")
	cmd.Flags().StringVar(&o.asOf, "as-of", "", "write the packet as it was after a `CHANGE` or at the end of a date")
	cmd.Flags().Var(&o.on, "on", "with --as-of a change, the `DATE` that counts as today (default: that of the change)")
	return cmd
}

func (a *terminal) runPacket(ctx context.Context, o packetOptions) error {
	switch {
	case o.all && o.asOf != "":
		return usagef("--all and --as-of cannot be combined; use one")
	case o.asOf == "" && !o.on.IsZero():
		return usagef("--on goes with --as-of; accepts a change or a date there")
	case o.all:
		return a.runAllPackets(ctx, o)
	case len(o.named) > 0:
		return usagef("%s is one word too many; accepts property files and folders with --all only", quote(o.named[0]))
	}
	return a.runPackets(ctx, o)
}

func packetPaper() paper {
	return paper{
		"cost-share-packet.pdf",
		"the packet of the contract: what was planned, applied and remains, with records and signature blanks",
		func(ctx context.Context, w io.Writer, c *app.Contents) error {
			packet, err := c.Packet(ctx)
			if err != nil {
				return err
			}
			return pdf.Packet(w, packet)
		},
	}
}

// longestWord bounds the bytes of a name that fileWord makes.
const longestWord = 60

// unitWord is the file word of a unit: its own among the units of the property. Names
// that differ only in what a file name cannot show are told apart by a part of their
// checksum.
func unitWord(name string, units []habitat.Unit) string {
	word := fileWord(name)
	for i := range units {
		if units[i].ID != name && fileWord(units[i].ID) == word {
			return fmt.Sprintf("%s-%x", word, sha256.Sum256([]byte(name)))[:len(word)+1+8]
		}
	}
	return word
}

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
