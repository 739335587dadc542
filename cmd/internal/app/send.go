package app

import (
	"archive/zip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/leftover"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/store"
)

// The parts of an archive that hands a property over.
const (
	sentProperty = "property" + Extension
	sentFiles    = "files/"
	sentPapers   = "papers/"
)

// What of an archive is read at most: the files in it, and the bytes of each and of all.
const (
	mostSentFiles = 10000
	mostSentBytes = 4 << 30
)

// SentPaper is a paper that goes along.
type SentPaper struct {
	Name  string
	Write func(io.Writer) error
}

// Sent says what an archive holds.
type Sent struct {
	Stamp store.Stamp
	// Files counts the attachments; Missing names those that are gone or altered and
	// stay behind.
	Files   int
	Missing []string
}

// TemporaryFolder makes a folder that its owner alone can read, for the time of one request;
// one that a killed process left goes with the next.
func TemporaryFolder() (string, error) { return leftover.Folder() }

// Send writes one archive that hands the property over: the property file, the files of
// its records and contracts, and papers.
func (s *Session) Send(ctx context.Context, w io.Writer, papers []SentPaper) (*Sent, error) {
	folder, err := TemporaryFolder()
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	copied := filepath.Join(folder, sentProperty)
	if err := s.Store.Backup(ctx, copied); err != nil {
		return nil, err
	}
	sent := &Sent{Stamp: s.Change.Stamp()}
	archive := zip.NewWriter(w)
	put := func(name string, write func(io.Writer) error) error {
		entry, err := archive.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: s.Moment.UTC()})
		if err != nil {
			return err
		}
		return write(entry)
	}
	from := func(path string) func(io.Writer) error {
		return func(w io.Writer) error {
			file, err := os.Open(path)
			if err != nil {
				return err
			}
			_, err = io.Copy(w, file)
			return errors.Join(err, file.Close())
		}
	}
	if err := put(sentProperty, from(copied)); err != nil {
		return nil, err
	}
	for _, file := range s.attachments() {
		name := s.placeOf(file)
		if name == "" {
			sent.Missing = append(sent.Missing, file.Path)
			continue
		}
		if err := put(sentFiles+name, from(filepath.Join(s.folder(), filepath.FromSlash(name)))); err != nil {
			return nil, err
		}
		sent.Files++
	}
	for _, p := range papers {
		if err := put(sentPapers+p.Name, p.Write); err != nil {
			return nil, err
		}
	}
	return sent, archive.Close()
}

// placeOf is where a file of a record or contract is, below the folder: under its own name
// or under the one that it was received under; empty where it is gone or altered.
func (s *Session) placeOf(file habitat.Attachment) string {
	if !filepath.IsLocal(filepath.FromSlash(file.Path)) {
		return ""
	}
	for _, name := range []string{file.Path, apartName(file)} {
		if sum, err := Checksum(filepath.Join(s.folder(), filepath.FromSlash(name))); err == nil && sum == file.SHA256 {
			return name
		}
	}
	return ""
}

// attachments are the files of records and contracts, each once: two of one path and
// different bytes are two.
func (s *Session) attachments() []habitat.Attachment {
	var all []habitat.Attachment
	add := func(files []habitat.Attachment) {
		for _, f := range files {
			if !slices.Contains(all, f) {
				all = append(all, f)
			}
		}
	}
	for i := range s.Written {
		add(s.Written[i].Files)
	}
	for i := range s.Contracts {
		add(s.Contracts[i].Files)
	}
	return all
}

// ReceiveOptions say which side is to hold where both changed one value.
type ReceiveOptions struct {
	// All is the side for whatever Ours and Theirs do not name; store.Undecided asks.
	All store.Side
	// Ours and Theirs name values as contradictions do: kind and name.
	Ours, Theirs []string
}

// ReceivedFiles says what became of the files that came along.
type ReceivedFiles struct {
	*store.Received
	// Written are files that are here now, Apart those of them that bear another name
	// here, since another file has theirs; Altered are files of the archive that are not
	// what the records say, and were not taken.
	Written, Apart, Altered []string
	// Stray says which lines of contracts name units that are not there.
	Stray []string
	// Kept are files that were not taken, since both names have another file.
	Kept []string
}

// Receive takes from an archive that Send wrote what the other side changed.
func (s *Session) Receive(ctx context.Context, archive string, o ReceiveOptions) (*ReceivedFiles, error) {
	bad := func(format string, args ...any) error {
		return &source.Error{Position: source.Position{File: archive}, Found: fmt.Sprintf(format, args...), Accepts: "an archive that emberquilt send wrote"}
	}
	z, err := zip.OpenReader(archive)
	if err != nil {
		return nil, bad("cannot be read as an archive")
	}
	defer z.Close()
	var property *zip.File
	var total uint64
	for _, f := range z.File {
		total += f.UncompressedSize64
		if f.Name == sentProperty {
			property = f
		}
	}
	switch {
	case property == nil:
		return nil, bad("holds no property")
	case len(z.File) > mostSentFiles || total > mostSentBytes:
		return nil, bad("holds %d files of %d bytes", len(z.File), total)
	}
	folder, err := TemporaryFolder()
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	copied := filepath.Join(folder, sentProperty)
	if err := unpack(property, copied); err != nil {
		return nil, bad("%v", err)
	}
	theirs, err := store.Open(ctx, copied)
	if err != nil {
		return nil, bad("holds a property that cannot be opened")
	}
	defer theirs.Close()
	received, err := s.Store.Receive(ctx, theirs, s.Moment, s.By, o.choose)
	var unfit *store.UnfitError
	switch {
	case errors.Is(err, store.ErrOtherProperty):
		return nil, &source.Error{Position: source.Position{File: archive}, Found: "is of another property than " + s.Property.Name, Accepts: "an archive of this one"}
	case errors.As(err, &unfit):
		return nil, &source.Error{Position: source.Position{File: archive}, Found: unfit.Error(), Accepts: "two files that fit; put one of them right first"}
	case err != nil:
		return nil, err
	}
	if err := s.refresh(ctx); err != nil {
		return nil, err
	}
	out := &ReceivedFiles{Received: received, Stray: s.strayLines()}
	return out, s.takeFiles(z.File, out)
}

// strayLines says which lines of contracts that are to be done name units that are not
// there anymore.
func (s *Session) strayLines() (all []string) {
	names := s.UnitNames()
	for i := range s.Contracts {
		c := &s.Contracts[i]
		for _, line := range c.Items {
			if line.Status == habitat.Open && !line.IsPropertyWide() && !slices.Contains(names, line.Unit) {
				all = append(all, fmt.Sprintf("line %d of %s is on %s, which is not a unit anymore: move it, or amend the lines that took its place", line.ID, c.Name, line.Unit))
			}
		}
	}
	return all
}

// Words say what came, as of a stamp.
func (r *ReceivedFiles) Words(now store.Stamp) string {
	switch {
	case r.Changes == 0:
		return "nothing new: this file has all that the archive holds"
	case r.Follows:
		return fmt.Sprintf("%s received; this file is now the same as the sender's, at %s", quantity.Count(r.Changes, "change"), view.ChangeWords(string(now)))
	}
	return fmt.Sprintf("%s received beside this file's own; %s", quantity.Count(r.Changes, "change"), view.ChangeWords(string(now)))
}

// Items say of each value that both sides changed which one holds, and name the files that
// came.
func (r *ReceivedFiles) Items() []string {
	all := []string{}
	for i := range r.Contradictions {
		word := "the archive's"
		if r.Contradictions[i].Kept == store.Ours {
			word = "this file's"
		}
		all = append(all, fmt.Sprintf("%s: %s holds", ContradictionName(&r.Contradictions[i]), word))
	}
	for _, name := range r.Joined {
		all = append(all, fmt.Sprintf("contract %s: the changes of both stand in it", name))
	}
	for _, file := range r.Written {
		all = append(all, "file "+file)
	}
	return all
}

// Notes say what is not as one might expect of the files that came.
func (r *ReceivedFiles) Notes() []string {
	all := append([]string{}, r.Stray...)
	for _, words := range r.Apart {
		all = append(all, words+": another file has its name here, and was not touched")
	}
	for _, file := range r.Kept {
		all = append(all, file+": other files have its names here; it was not taken")
	}
	for _, file := range r.Altered {
		all = append(all, file+": in the archive it is not what its record says, and was not taken")
	}
	return all
}

// ContradictionName names the value that both sides changed, as ReceiveOptions do.
func ContradictionName(c *store.Contradiction) string {
	return strings.TrimSpace(c.Kind + " " + c.Name)
}

// ContradictionWords say what differs, ours first.
func ContradictionWords(c *store.Contradiction) string {
	var fields []string
	for _, f := range c.Fields {
		fields = append(fields, strings.TrimSpace(fmt.Sprintf("%s %s here, %s in the archive", f.Name, source.Quote(f.Was), source.Quote(f.Is))))
	}
	return ContradictionName(c) + ": " + strings.Join(fields, "; ")
}

// choose decides a contradiction as the options say.
func (o *ReceiveOptions) choose(c *store.Contradiction) store.Side {
	name := ContradictionName(c)
	// The name of a contract stands for all of its parts.
	isNamed := func(named string) bool { return named == name || strings.HasPrefix(name, named+", ") }
	switch {
	case slices.Contains(o.Ours, name):
		return store.Ours
	case slices.Contains(o.Theirs, name):
		return store.Theirs
	case slices.ContainsFunc(o.Ours, isNamed):
		return store.Ours
	case slices.ContainsFunc(o.Theirs, isNamed):
		return store.Theirs
	}
	return o.All
}

// takeFiles writes those files of an archive that belong to the property and are not
// here. One that is here is never written over: what comes bears another name then.
func (s *Session) takeFiles(files []*zip.File, out *ReceivedFiles) error {
	all := s.attachments()
	for _, file := range all {
		own := filepath.FromSlash(file.Path)
		if !filepath.IsLocal(own) || path.Clean(file.Path) != file.Path || s.placeOf(file) != "" {
			continue
		}
		entry, err := entryOf(files, file, all, out)
		if err != nil {
			return err
		}
		if entry == nil {
			continue
		}
		name := file.Path
		if _, err := os.Lstat(filepath.Join(s.folder(), own)); err == nil {
			name = apartName(file)
		}
		at := filepath.Join(s.folder(), filepath.FromSlash(name))
		if _, err := os.Lstat(at); err == nil {
			out.Kept = append(out.Kept, file.Path)
			continue
		}
		if name != file.Path {
			out.Apart = append(out.Apart, file.Path+" is "+name)
		}
		if err := os.MkdirAll(filepath.Dir(at), 0o777); err != nil {
			return err
		}
		if err := unpack(entry, at); err != nil {
			return err
		}
		out.Written = append(out.Written, name)
	}
	return nil
}

// entryOf finds a file in an archive, by its name and checksum; nil where it is not there.
// One of its name that no record means is noted as altered.
func entryOf(files []*zip.File, file habitat.Attachment, all []habitat.Attachment, out *ReceivedFiles) (*zip.File, error) {
	for _, name := range []string{file.Path, apartName(file)} {
		i := slices.IndexFunc(files, func(f *zip.File) bool { return f.Name == sentFiles+name })
		if i < 0 {
			continue
		}
		sum, err := sumOf(files[i])
		if err != nil {
			return nil, err
		}
		if sum == file.SHA256 {
			return files[i], nil
		}
		if !slices.ContainsFunc(all, func(o habitat.Attachment) bool { return o.Path == file.Path && o.SHA256 == sum }) {
			out.Altered = append(out.Altered, file.Path)
		}
	}
	return nil, nil
}

// sumOf gives the SHA-256 of an entry, in hexadecimal.
func sumOf(f *zip.File) (string, error) {
	in, err := f.Open()
	if err != nil {
		return "", err
	}
	defer in.Close()
	hash := sha256.New()
	if _, err := io.Copy(hash, io.LimitReader(in, int64(f.UncompressedSize64))); err != nil {
		return "", err
	}
	return hex.EncodeToString(hash.Sum(nil)), nil
}

// unpack writes an entry to a file that does not exist, at most as long as it says.
func unpack(f *zip.File, to string) error {
	in, err := f.Open()
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, io.LimitReader(in, int64(f.UncompressedSize64)))
	if err := errors.Join(err, out.Close()); err != nil {
		return errors.Join(err, os.Remove(to))
	}
	return nil
}
