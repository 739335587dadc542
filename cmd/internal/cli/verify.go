package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/table"
	"emberquilt/report/view"
	"emberquilt/store"
)

// verifyOptions say what was kept elsewhere of the seals.
type verifyOptions struct {
	stamps        []string
	seals, signer string
	all           allFlag
}

func (a *terminal) verifyCommand() *cobra.Command {
	var o verifyOptions
	cmd := &cobra.Command{
		Use:   "verify",
		Short: "Check that the property file is intact",
		Long: withStatus(`Verify checks the database, its references, the seal of every change, that the
current values make sense together, and the files that belong to records and
contracts. It lists what is wrong and then ends with status 1.

Every change is sealed by a checksum over it and the change before. By itself that finds
whatever was altered by a hand or a program that did not make the seals anew. It cannot
find what was made anew with its seals, nor that the newest changes were cut off: this
program's text is public, and whoever has the file can do as it does. For that, hold the
file against something that they do not have:

  --stamp   a stamp that a paper printed: all up to that change is then as it was when
            the paper was made. Its eight digits can be met by someone who makes some
            billions of tries; a list has all 64.
  --seals   a list that "emberquilt seal export" wrote and that lies elsewhere.
  --signer  the public ssh key that must have signed the list (FILE.sig).

None of them says anything of the changes after the last one that was kept, nor that what
was recorded is true, nor that the machine's clock was right. A draft of an edited plan is
no record and not sealed.

`+allHelp, statusBadInput),
		Example: "  emberquilt verify --stamp 'change 5 (b9dd05c4)'\n  emberquilt verify --seals /media/stick/bend.seals --signer agent.pub",
		GroupID: groupProperty,
		Args:    exactArgs(),
		RunE:    func(cmd *cobra.Command, _ []string) error { return a.runVerify(cmd.Context(), &o) },
	}
	o.all.register(cmd)
	cmd.Flags().StringArrayVar(&o.stamps, "stamp", nil, "check that the file has the `STAMP` of a paper; may be repeated")
	cmd.Flags().StringVar(&o.seals, "seals", "", "check the file against the list of seals in `FILE`")
	cmd.Flags().StringVar(&o.signer, "signer", "", "the list must be signed by a public key in `FILE`")
	return cmd
}

// kept reads what was kept of the seals.
func (a *terminal) kept(o *verifyOptions) (kept app.KeptSeals, err error) {
	if o.signer != "" && o.seals == "" {
		return kept, usagef("--signer goes with --seals; accepts a list there")
	}
	kept.Stamps = o.stamps
	if err := app.ParseStamps(o.stamps); err != nil || o.seals == "" {
		return kept, err
	}
	kept.File = o.seals
	if kept.Text, err = a.readAll(o.seals); err != nil {
		return kept, err
	}
	if kept.List, err = store.ReadSeals(bytes.NewReader(kept.Text), o.seals); err != nil {
		return kept, err
	}
	if _, err := os.Stat(o.seals + app.SignatureEnding); err == nil {
		if kept.Signature, err = a.readAll(o.seals + app.SignatureEnding); err != nil {
			return kept, err
		}
	}
	if o.signer == "" {
		return kept, nil
	}
	text, err := a.readAll(o.signer)
	if err != nil {
		return kept, err
	}
	return kept, kept.AddSigners(text, o.signer)
}

// longestKept bounds what is read of keys, signatures and lists of seals.
const longestKept = 64 << 20

// readAll reads a small file.
func (a *terminal) readAll(path string) ([]byte, error) {
	in, name, err := a.open(path)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	text, err := io.ReadAll(io.LimitReader(in, longestKept))
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", name, cause(err))
	}
	return text, nil
}

func (a *terminal) runVerify(ctx context.Context, o *verifyOptions) error {
	if o.all.folder != "" {
		if len(o.stamps) > 0 || o.seals != "" {
			return usagef("--all goes without --stamp and --seals, which are those of one property")
		}
		return a.overAll(
			ctx,
			&o.all,
			new(showFlags),
			ofAll{name: "verified", doing: "checking seals", file: func(path string) (allFile, error) { return verifyOne(ctx, path) }},
		)
	}
	kept, err := a.kept(o)
	if err != nil {
		return err
	}
	path, err := a.findProperty()
	if err != nil {
		return err
	}
	v, err := app.Verify(ctx, path, kept)
	if err != nil {
		return err
	}
	if err := a.printVerified(v); err != nil || v.IsIntact() {
		return err
	}
	return answered{statusFailed}
}

// verifyOne checks one of many property files; one that is not intact fails with what
// was found of it.
func verifyOne(ctx context.Context, path string) (allFile, error) {
	v, err := app.Verify(ctx, path, app.KeptSeals{})
	if err != nil {
		return allFile{}, err
	}
	found := allFile{property: v.Property, result: verifiedObject(v)}
	if !v.IsIntact() {
		return found, errors.New("not intact: " + strings.Join(append(v.Faults, view.FileWarnings(v.Files)...), "; "))
	}
	found.rows = &table.Sheet{Name: "verified", Header: []string{"state", "data_version"}, Rows: [][]any{{"intact", view.ChangeWords(string(v.Stamp))}}}
	return found, nil
}

func verifiedObject(v *app.Verified) map[string]any {
	return map[string]any{"file": v.Path, "property": v.Property, "data_version": v.Stamp, "whole": len(v.Faults) == 0, "faults": v.Faults, "files": v.Files, "seals": v.Seals}
}

func (a *terminal) printVerified(v *app.Verified) error {
	if a.json {
		return a.printJSON(verifiedObject(v))
	}
	if len(v.Faults) == 0 {
		is := "is intact"
		if !v.IsIntact() { // a file that belongs to it is not, or what was kept does not hold
			is = "itself is intact"
		}
		fmt.Fprintf(a.Out, "%s %s; %s\n", v.Path, is, view.ChangeWords(string(v.Stamp)))
		for _, warning := range view.FileWarnings(v.Files) {
			fmt.Fprintln(a.Out, "-", warning)
		}
		a.printSealChecks(v.Seals)
		return nil
	}
	fmt.Fprintf(a.Out, "%s is not intact:\n", v.Path)
	for _, fault := range v.Faults {
		fmt.Fprintln(a.Out, "-", fault)
	}
	a.printSealChecks(v.Seals)
	return nil
}

func (a *terminal) printSealChecks(all []view.SealCheck) {
	for _, c := range all {
		mark := "- "
		if !c.Holds {
			mark = "- DOES NOT HOLD: "
		}
		fmt.Fprintln(a.Out, mark+c.Words)
	}
}
