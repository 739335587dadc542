package app

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
)

// Attach names a file by its path from the property file's folder, so that the two
// can move together, and by its checksum. A file outside that folder is refused.
func (s *Session) Attach(path string) (habitat.Attachment, error) { return attach(path, s.folder()) }

// folder is where the property file lies.
func (s *Session) folder() string { return filepath.Dir(s.Store.Path()) }

func attach(path, folder string) (habitat.Attachment, error) {
	sum, err := Checksum(path)
	if err != nil {
		return habitat.Attachment{}, err
	}
	if folder, err = filepath.Abs(folder); err != nil {
		return habitat.Attachment{}, err
	}
	full, err := filepath.Abs(path)
	if err != nil {
		return habitat.Attachment{}, err
	}
	inside, err := filepath.Rel(folder, full)
	if err != nil || !filepath.IsLocal(inside) {
		return habitat.Attachment{}, &source.Error{
			Position: source.Position{File: path}, Found: "lies outside the property file's folder",
			Accepts: "a file in that folder or below it", Hint: "copy it there first: what travels with the property is what papers and checks can open",
		}
	}
	return habitat.Attachment{Path: filepath.ToSlash(inside), SHA256: sum}, nil
}

// Checksum gives the SHA-256 of a regular file, in hexadecimal: a pipe would wait for
// ever, a device never end.
func Checksum(path string) (string, error) {
	info, err := os.Stat(path)
	if err != nil {
		return "", err
	}
	if !info.Mode().IsRegular() {
		return "", &fs.PathError{Op: "read", Path: path, Err: errNotRegular}
	}
	file, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer file.Close()
	hash := sha256.New()
	if _, err := io.Copy(hash, file); err != nil {
		return "", err
	}
	return hex.EncodeToString(hash.Sum(nil)), nil
}

// errNotRegular refuses folders, pipes and devices.
var errNotRegular = errors.New("it is no regular file")

// RecordFiles says of every file of the records whether it is where and what it was.
func (s *Session) RecordFiles() []view.FileState {
	all := []view.FileState{}
	search := &fileSearch{folder: s.folder()}
	for i := range s.Records {
		all = append(all, search.states(s.Records[i].ID, s.Records[i].Files)...)
	}
	return all
}

// ContractFiles says the same of the files of a contract.
func (s *Session) ContractFiles(c *habitat.Contract) []view.FileState {
	return (&fileSearch{folder: s.folder()}).states(0, c.Files)
}

// states checks files; their paths are from the folder.
func (s *fileSearch) states(burn int64, files []habitat.Attachment) []view.FileState {
	var all []view.FileState
	for _, file := range files {
		// A property file may come from another hand: what it names elsewhere on this
		// machine is not opened.
		own := filepath.FromSlash(file.Path)
		isNear := filepath.IsLocal(own)
		sum, err := "", error(nil)
		if isNear {
			sum, err = Checksum(filepath.Join(s.folder, own))
		}
		moved, apart := "", ""
		if isNear && (err != nil || sum != file.SHA256) {
			if other, err := Checksum(filepath.Join(s.folder, filepath.FromSlash(apartName(file)))); err == nil && other == file.SHA256 {
				apart = apartName(file)
			}
		}
		if apart == "" && (err != nil || !isNear) {
			moved = s.find(file)
		}
		all = append(all, view.NewFileState(burn, file.Path, view.FoundFile{IsNear: isNear, IsThere: err == nil, IsSame: sum == file.SHA256, Apart: apart, Moved: moved}))
	}
	return all
}

// apartName is where a file that was received lies when another one has its name: the
// name with the beginning of its checksum.
func apartName(file habitat.Attachment) string {
	ending := path.Ext(file.Path)
	return strings.TrimSuffix(file.Path, ending) + "-" + file.SHA256[:min(8, len(file.SHA256))] + ending
}

// mostSearched bounds the files that a search for a moved one reads.
const mostSearched = 5000

// fileSearch finds files by their checksum below a folder. Hidden folders are
// left out, and links are not followed.
type fileSearch struct {
	folder string
	// sums holds the files read so far, by ending and then by checksum.
	sums map[string]map[string]string
}

// find gives the path below the folder of a file with the attachment's ending
// and checksum, or nothing.
func (s *fileSearch) find(file habitat.Attachment) string {
	ending := strings.ToLower(filepath.Ext(file.Path))
	if s.sums[ending] == nil {
		if s.sums == nil {
			s.sums = map[string]map[string]string{}
		}
		s.sums[ending] = s.read(ending)
	}
	return s.sums[ending][file.SHA256]
}

func (s *fileSearch) read(ending string) map[string]string {
	found := map[string]string{}
	count := 0
	// What cannot be read is not a find: the walk goes on.
	filepath.WalkDir(s.folder, func(path string, entry fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return nil
		case entry.IsDir() && path != s.folder && strings.HasPrefix(entry.Name(), "."):
			return filepath.SkipDir
		case !entry.Type().IsRegular() || strings.ToLower(filepath.Ext(path)) != ending:
			return nil
		}
		if count++; count > mostSearched {
			return filepath.SkipAll
		}
		sum, err := Checksum(path)
		if err != nil {
			return nil
		}
		if within, err := filepath.Rel(s.folder, path); err == nil && found[sum] == "" {
			found[sum] = filepath.ToSlash(within)
		}
		return nil
	})
	return found
}
