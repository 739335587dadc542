package web

import (
	"net/http"

	"emberquilt/cmd/internal/app"
)

// readAhead begins to read what the screen of a document asks for first, while the
// browser reads the document and its modules. It shows nothing: who asks waits for it, is
// answered from the file as it then is, and is told what is wrong with it.
func (s *Server) readAhead(r *http.Request) {
	id, screen := r.PathValue("id"), s.screenAt(r)
	if files := s.files(); id == "" && screen == "season" && len(files) == 1 {
		id = propertyID(files[0])
	}
	if id == "" {
		return
	}
	p, err := s.find(id)
	if err != nil {
		return
	}
	s.working.Add(1)
	go func() {
		defer s.working.Done()
		switch screen {
		case "plan":
			p.change(s.base, func(session *app.Session) error { return p.edit().Follow(s.base, session, 0) })
		case "season":
			p.read(s.base, func(*app.Session) error {
				_, err := p.known(seasonKey, func(session *app.Session) (any, error) { return p.season(s.base, session, question{r}) })
				return err
			})
		default:
			p.read(s.base, func(*app.Session) error { return nil })
		}
	}()
}

// seasonKey is that of the season's answer without values.
const seasonKey = "season?"
