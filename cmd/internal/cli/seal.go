package cli

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/view"
	"emberquilt/store"
)

func (a *terminal) sealCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "seal",
		Short: "Show the newest seal; write the list of seals to keep elsewhere",
		Long: withStatus(`Seal shows the seal of the newest change with all its digits; papers print the first
eight. "emberquilt seal export" writes the list of all of them. What that proves, and what
not, "emberquilt help verify" says.`, statusBadInput),
		GroupID: groupProperty,
		Args:    exactArgs(),
		RunE:    func(cmd *cobra.Command, _ []string) error { return a.runSeal(cmd.Context()) },
	}
	cmd.AddCommand(a.sealExportCommand())
	return cmd
}

func (a *terminal) runSeal(ctx context.Context) error {
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		f, err := s.ExportSeals(ctx, nil, "", nil)
		if err != nil {
			return err
		}
		return a.say("%s: %s", view.ChangeWords(f.Stamp.Data), f.Seal)
	})
}

// sealExportOptions are those of seal export.
type sealExportOptions struct{ file, key string }

func (a *terminal) sealExportCommand() *cobra.Command {
	var o sealExportOptions
	cmd := &cobra.Command{
		Use:   "export FILE",
		Short: "Write the list of seals, to keep elsewhere",
		Long: withStatus(`Export writes the number, time and seal of every change: no name, no acre, no reason.
Keep it where whoever has the property file cannot write: another machine, a stick in a
drawer, a mail to the landowner. A list that is there already is held against the file
first, and is written anew only where all of it holds.

--sign signs it with your own ssh key and writes FILE.sig, in the form of ssh-keygen -Y.
A key with a passphrase, in an agent or in hardware signs with
  ssh-keygen -Y sign -f KEY -n seals@emberquilt FILE
and anyone checks it with "emberquilt verify --seals FILE --signer KEY.pub", or with
ssh-keygen -Y verify. A signature says that whoever holds the key held the list to be
right: not when, and not that what was recorded is true.`, statusBadInput),
		Example: "  emberquilt seal export /media/stick/bend.seals\n  emberquilt seal export bend.seals --sign ~/.ssh/id_ed25519",
		Args:    exactArgs("FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.file = args[0]
			return a.runSealExport(cmd.Context(), o)
		},
	}
	cmd.Flags().StringVar(&o.key, "sign", "", "sign the list with the private ssh key in `FILE`")
	return cmd
}

func (a *terminal) runSealExport(ctx context.Context, o sealExportOptions) error {
	if o.key != "" && o.file == "-" {
		return usagef("--sign needs the name of a file; accepts one in place of -")
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		before, err := a.sealsBefore(o.file)
		if err != nil {
			return err
		}
		var key []byte
		if o.key != "" {
			if key, err = a.readAll(o.key); err != nil {
				return err
			}
		}
		f, err := s.ExportSeals(ctx, before, o.file, key)
		if err != nil {
			return err
		}
		put := func(text []byte) func(io.Writer) error {
			return func(w io.Writer) error { _, err := w.Write(text); return err }
		}
		files := []output{{o.file, put(f.Text)}}
		written := []string{o.file}
		if _, err := os.Stat(o.file + app.SignatureEnding); err == nil && f.Signature == nil {
			return usagef("%s: signs the list that is there, and would not sign the new one; accepts --sign, or another name for the list", o.file+app.SignatureEnding)
		}
		if f.Signature != nil {
			files = append(files, output{o.file + app.SignatureEnding, put(f.Signature)})
			written = append(written, o.file+app.SignatureEnding)
		}
		if err := a.write(files...); err != nil || o.file == "-" {
			return err
		}
		return a.say("%s: the seals up to %s; keep it elsewhere", strings.Join(written, ", "), view.ChangeWords(f.Stamp.Data))
	})
}

// sealsBefore reads the list that is there already; nil where there is none. What is
// no list is not read: a.write refuses to take its place.
func (a *terminal) sealsBefore(path string) (*store.Seals, error) {
	if path == "-" {
		return nil, nil
	}
	switch info, err := os.Stat(path); {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, noFile(path, err)
	case a.replace || info.Mode()&(fs.ModeNamedPipe|fs.ModeDevice|fs.ModeSocket) != 0: // which hold no list
		return nil, nil
	}
	text, err := os.Open(path)
	if err != nil {
		return nil, noFile(path, err)
	}
	defer text.Close()
	before, err := store.ReadSeals(io.LimitReader(text, longestKept), path)
	if isPathError(err) {
		return nil, noFile(path, err)
	}
	return before, err
}
