package web

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"strings"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/view"
)

// packetFolder takes the packets that the page writes, beside the property files.
const packetFolder = "packets"

// WritePackets writes the packet of each contract of property files into a folder,
// with a summary, and goes on past files that fail. It names what it wrote by paths.
type WritePackets func(ctx context.Context, files []string, folder string, from app.Environment) (run *app.PacketRun, summary []string, err error)

// writtenPackets says what became of a run. Files are those of FOLDER/packets.
type writtenPackets struct {
	Folder     string            `json:"folder"`
	Properties []propertyPackets `json:"properties"`
	Summary    []string          `json:"summary"`
	Failed     int               `json:"failed"`
	Cautions   []string          `json:"cautions"`
}

type propertyPackets struct {
	ID    string `json:"id"`
	State string `json:"state"`
	// HasFailed says that State tells why nothing was written.
	HasFailed bool     `json:"has_failed"`
	Files     []string `json:"files"`
}

// packets registers the writing of packets, and the reading of what was written.
func (s *Server) packets(mux *http.ServeMux) {
	mux.HandleFunc("POST /api/packets", func(w http.ResponseWriter, r *http.Request) { s.answerPackets(w, r, s.files()) })
	mux.HandleFunc("POST /api/p/{id}/packets", s.within(func(p *property, w http.ResponseWriter, r *http.Request) { s.answerPackets(w, r, []string{p.path}) }))
	mux.HandleFunc("GET /api/packets/{file}", s.packet)
}

func (s *Server) answerPackets(w http.ResponseWriter, r *http.Request, files []string) {
	written, err := s.writePackets(context.WithoutCancel(r.Context()), files)
	if err != nil {
		writeFault(w, err)
		return
	}
	writeJSON(w, http.StatusOK, written)
}

// folderOfPackets is below the folder that is served, or beside the file.
func (s *Server) folderOfPackets() string {
	if s.options.Folder != "" {
		return filepath.Join(s.options.Folder, packetFolder)
	}
	return filepath.Join(filepath.Dir(s.options.File), packetFolder)
}

func (s *Server) writePackets(ctx context.Context, files []string) (*writtenPackets, error) {
	if s.options.WritePackets == nil {
		return nil, errors.New("this page writes no packets")
	}
	from, err := s.options.Environment()
	if err != nil {
		return nil, err
	}
	s.packeting.Lock() // one run at a time: two would write the same files
	defer s.packeting.Unlock()
	run, summary, err := s.options.WritePackets(ctx, files, s.folderOfPackets(), from)
	if err != nil {
		return nil, err
	}
	all := &writtenPackets{Folder: packetFolder, Failed: run.Failed, Properties: []propertyPackets{}, Summary: names(summary), Cautions: view.Cautions()}
	for i := range run.All {
		one := &run.All[i]
		all.Properties = append(all.Properties, propertyPackets{propertyID(one.File), one.State(), one.Failed != "", names(one.Written)})
	}
	return all, nil
}

func names(paths []string) []string {
	all := make([]string, len(paths))
	for i, path := range paths {
		all[i] = filepath.Base(path)
	}
	return all
}

// packet hands over a file of the folder of packets: one that lies in it, by its name.
func (s *Server) packet(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("file")
	unknown := &unknownError{fmt.Sprintf("there is no packet %q", name)}
	if name != filepath.Base(name) || !filepath.IsLocal(name) || strings.ContainsAny(name, `/\`) {
		writeFault(w, unknown)
		return
	}
	switch filepath.Ext(name) {
	case ".pdf", ".xlsx", ".csv", ".html":
	default:
		writeFault(w, unknown)
		return
	}
	root, err := os.OpenRoot(s.folderOfPackets())
	if err != nil {
		writeFault(w, unknown)
		return
	}
	defer root.Close()
	info, err := root.Stat(name)
	if err == nil && !info.Mode().IsRegular() {
		err = fs.ErrNotExist // a pipe would be waited for without end
	}
	var data []byte
	if err == nil {
		data, err = root.ReadFile(name)
	}
	if err != nil {
		writeFault(w, unknown)
		return
	}
	writeFile(w, name, data)
}

// writeFile hands over a file: always to be kept, never a page of this server, since
// a paper has scripts of its own.
func writeFile(w http.ResponseWriter, name string, data []byte) {
	w.Header().Set("Content-Type", "application/octet-stream")
	plain := strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' || r == '"' || r == '\\' {
			return '-'
		}
		return r
	}, name)
	w.Header().Set("Content-Disposition", fmt.Sprintf("attachment; filename=%q", plain))
	w.Write(data)
}
