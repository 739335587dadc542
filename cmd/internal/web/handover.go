package web

import (
	"bytes"
	"context"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/view"
	"emberquilt/store"
)

// handingOver registers what hands a property over, takes back what was changed
// elsewhere, and holds the file against what was kept of its seals.
func (s *Server) handingOver(mux *http.ServeMux) {
	mux.HandleFunc("GET /api/p/{id}/sent", s.within((*property).send))
	mux.HandleFunc("GET /api/p/{id}/seals", s.within((*property).seals))
	sends(s, mux, "received", receiveArchive)
	sends(s, mux, "seals", checkKeptSeals)
	writes(s, mux, "seals/sign", signSeals)
}

// send hands over one archive with the property, the files of its records, and packets.
func (p *property) send(w http.ResponseWriter, r *http.Request) {
	var b bytes.Buffer
	err := p.read(r.Context(), func(s *app.Session) error {
		if err := app.CheckSeals(r.Context(), s.Store); err != nil {
			return err
		}
		var papers []app.SentPaper
		if p.server.options.SentPapers != nil {
			var err error
			if papers, err = p.server.options.SentPapers(r.Context(), s); err != nil {
				return err
			}
		}
		_, err := s.Send(r.Context(), &b, papers)
		return err
	})
	if err != nil {
		writeFault(w, err)
		return
	}
	writeFile(w, p.fileWord()+"-to-hand-over.zip", b.Bytes())
}

// seals hands over the list of seals, to be kept elsewhere.
func (p *property) seals(w http.ResponseWriter, r *http.Request) {
	var list *app.SealsFile
	err := p.read(r.Context(), func(s *app.Session) (err error) {
		list, err = s.ExportSeals(r.Context(), nil, "", nil)
		return err
	})
	if err != nil {
		writeFault(w, err)
		return
	}
	writeFile(w, p.fileWord()+".seals", list.Text)
}

// signWish is a private ssh key, as its file holds it. It is kept nowhere.
type signWish struct {
	Key string `json:"key"`
}

// signSeals gives the list of seals with its signature.
func signSeals(ctx context.Context, s *app.Session, in signWish, _ *http.Request) (any, error) {
	list, err := s.ExportSeals(ctx, nil, "", []byte(in.Key))
	if err != nil {
		return nil, err
	}
	return map[string]any{"text": string(list.Text), "signature": string(list.Signature), "words": []string{"signed: the seals up to " + view.ChangeWords(list.Stamp.Data)}}, nil
}

// receiveWish says which side holds where both changed one value: ours or theirs, by
// the names of the values.
type receiveWish struct {
	Sides map[string]string `json:"sides"`
}

func receiveArchive(ctx context.Context, s *app.Session, in receiveWish, sent *sentFiles) (any, error) {
	if len(sent.names) != 1 {
		return nil, optionFault("archive", "one archive that a property was handed over in", "%d files came", len(sent.names))
	}
	var o app.ReceiveOptions
	for name, side := range in.Sides {
		switch side {
		case "ours":
			o.Ours = append(o.Ours, name)
		case "theirs":
			o.Theirs = append(o.Theirs, name)
		default:
			return nil, optionFault("sides", "ours or theirs", "%q is not a side", side)
		}
	}
	got, err := s.Receive(ctx, filepath.Join(sent.folder, sent.names[0]), o)
	if err != nil {
		return nil, err
	}
	words := slices.Concat([]string{got.Words(s.Change.Stamp())}, got.Items(), got.Notes())
	return map[string]any{"words": words}, nil
}

// sealsWish are stamps of papers, as they print them, one a line.
type sealsWish struct {
	Stamps string `json:"stamps"`
}

// publicEnding ends the names of public ssh keys.
const publicEnding = ".pub"

// checkKeptSeals checks the file, and holds it against a list of seals that was kept,
// with its signature and the keys of which one must have made it where those came along,
// and against stamps.
func checkKeptSeals(ctx context.Context, s *app.Session, in sealsWish, sent *sentFiles) (any, error) {
	var kept app.KeptSeals
	for text := range strings.SplitSeq(in.Stamps, "\n") {
		if text = strings.TrimSpace(text); text != "" {
			kept.Stamps = append(kept.Stamps, text)
		}
	}
	if err := app.ParseStamps(kept.Stamps); err != nil {
		return nil, err
	}
	var lists []string
	for _, name := range sent.names {
		switch {
		case strings.HasSuffix(name, app.SignatureEnding):
		case strings.HasSuffix(name, publicEnding):
			text, err := os.ReadFile(filepath.Join(sent.folder, name))
			if err != nil {
				return nil, err
			}
			if err := kept.AddSigners(text, name); err != nil {
				return nil, err
			}
		default:
			lists = append(lists, name)
		}
	}
	if len(lists) > 1 || len(lists) == 0 && len(sent.names) > 0 {
		return nil, optionFault("seals", "one list, with its signature and the public key of who signed it, or without", "%d lists came", len(lists))
	}
	if len(lists) == 1 {
		var err error
		kept.File = lists[0]
		if kept.Text, err = os.ReadFile(filepath.Join(sent.folder, kept.File)); err != nil {
			return nil, err
		}
		if kept.List, err = store.ReadSeals(bytes.NewReader(kept.Text), kept.File); err != nil {
			return nil, err
		}
		if slices.Contains(sent.names, kept.File+app.SignatureEnding) {
			if kept.Signature, err = os.ReadFile(filepath.Join(sent.folder, kept.File+app.SignatureEnding)); err != nil {
				return nil, err
			}
		}
	}
	v, err := app.Verify(ctx, s.Store.Path(), kept)
	if err != nil {
		return nil, err
	}
	return map[string]any{"intact": v.IsIntact(), "words": v.Words()}, nil
}
