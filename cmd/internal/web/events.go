package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"sync"
	"time"
)

// mostKept is how many events are kept for pages that come back.
const mostKept = 512

// Event is something that every open page hears.
type Event struct {
	ID int64 `json:"-"`
	// Kind names it: changed, progress, draft, …; Property is empty where all are
	// meant.
	Kind     string `json:"kind"`
	Property string `json:"property,omitempty"`
	Data     any    `json:"data,omitempty"`
}

// hub hands events to the pages that listen.
type hub struct {
	mu        sync.Mutex
	last      int64
	kept      []Event
	listeners map[chan Event]bool
	// alone is since when nobody listens.
	alone time.Time
}

func newHub(now time.Time) *hub {
	// Ids go on across a restart: a page that resumes at one of the former server is
	// behind, never ahead.
	return &hub{last: now.UnixMilli() * 1000, listeners: map[chan Event]bool{}, alone: now}
}

// publish hands an event to everyone. A page that does not keep up is cut off and
// comes back with the id that it has.
func (h *hub) publish(e Event) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.last++
	e.ID = h.last
	h.kept = append(h.kept, e)
	if len(h.kept) > mostKept {
		h.kept = append([]Event(nil), h.kept[len(h.kept)-mostKept:]...)
	}
	for c := range h.listeners {
		select {
		case c <- e:
		default:
			delete(h.listeners, c)
			close(c)
		}
	}
}

// listen begins to hear, with what came after an id; isBehind says that some of that
// is not kept any more.
func (h *hub) listen(after int64) (c chan Event, missed []Event, last int64, isBehind bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	c = make(chan Event, 64)
	h.listeners[c] = true
	if after > 0 {
		first := h.last + 1
		if len(h.kept) > 0 {
			first = h.kept[0].ID
		}
		isBehind = after < first-1 || after > h.last
		for _, e := range h.kept {
			if e.ID > after && !isBehind {
				missed = append(missed, e)
			}
		}
	}
	return c, missed, h.last, isBehind
}

func (h *hub) leave(c chan Event) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.listeners[c] {
		delete(h.listeners, c)
		close(c)
	}
	h.alone = time.Now()
}

// since says since when nobody listens; false where somebody does.
func (h *hub) since() (time.Time, bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.alone, len(h.listeners) == 0
}

// stillBeat is how often a stream without news says that it is there.
const stillBeat = 20 * time.Second

// serve is the stream of one page.
func (h *hub) serve(w http.ResponseWriter, r *http.Request) {
	control := http.NewResponseController(w)
	w.Header().Set("Content-Type", "text/event-stream")
	after, _ := strconv.ParseInt(r.Header.Get("Last-Event-ID"), 10, 64)
	c, missed, last, isBehind := h.listen(after)
	defer h.leave(c)
	send := func(e Event) bool {
		text, err := json.Marshal(e)
		if err != nil {
			return false
		}
		_, err = fmt.Fprintf(w, "id: %d\ndata: %s\n\n", e.ID, text)
		return err == nil && control.Flush() == nil
	}
	if _, err := fmt.Fprint(w, "retry: 1000\n\n"); err != nil {
		return
	}
	begin := Event{ID: last, Kind: "hello"}
	if isBehind {
		begin.Kind = "behind" // read everything anew
	}
	for _, e := range missed {
		if !send(e) {
			return
		}
	}
	if !send(begin) {
		return
	}
	beat := time.NewTicker(stillBeat)
	defer beat.Stop()
	for {
		select {
		case e, ok := <-c:
			if !ok || !send(e) {
				return
			}
		case <-beat.C:
			if _, err := fmt.Fprint(w, ": still here\n\n"); err != nil || control.Flush() != nil {
				return
			}
		case <-r.Context().Done():
			return
		}
	}
}
