package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"sync"
	"time"
)

// claim says which server shows a property file. It lies in the user's own cache
// folder, readable by the user alone, since it holds the server's address with its
// token.
type claim struct {
	File    string `json:"file"`
	Address string `json:"address"`
}

// ServedError says that another server of this user shows the file.
type ServedError struct{ File, Address string }

// Error gives the address of that server.
func (e *ServedError) Error() string {
	return fmt.Sprintf("%s: its page is already open; use it at %s", e.File, e.Address)
}

// claims are those of one server. A nil *claims claims nothing.
type claims struct {
	folder  string
	address string

	mu    sync.Mutex
	taken map[string]string // claim files by property file
}

// newClaims keeps claims in a folder, which is made; "" means the user's cache.
func newClaims(folder, address string) (*claims, error) {
	if folder == "" {
		cache, err := os.UserCacheDir()
		if err != nil {
			return nil, err
		}
		folder = filepath.Join(cache, "emberquilt", "pages")
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return nil, err
	}
	return &claims{folder: folder, address: address, taken: map[string]string{}}, nil
}

// place gives the whole path of a file or folder, and where its claim lies.
func (c *claims) place(path string) (whole, name string, err error) {
	if whole, err = filepath.Abs(path); err != nil {
		return "", "", err
	}
	if resolved, err := filepath.EvalSymlinks(whole); err == nil {
		whole = resolved
	}
	sum := sha256.Sum256([]byte(whole))
	return whole, filepath.Join(c.folder, hex.EncodeToString(sum[:8])+".json"), nil
}

// inFolder says with a ServedError that another server shows the folder of a file.
func (c *claims) inFolder(ctx context.Context, path string) error {
	if c == nil {
		return nil
	}
	file, _, err := c.place(path)
	if err != nil {
		return err
	}
	folder, name, err := c.place(filepath.Dir(file))
	if err != nil {
		return err
	}
	if other, ok := readClaim(name); ok && other.File == folder && other.Address != c.address && answers(ctx, other.Address) {
		return &ServedError{path, other.Address}
	}
	return nil
}

// take claims a property file; a ServedError says that another server has it. One
// that does not answer any more has lost it.
func (c *claims) take(ctx context.Context, path string) error {
	if c == nil {
		return nil
	}
	whole, name, err := c.place(path)
	if err != nil {
		return err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.taken[whole] != "" {
		return nil
	}
	text, err := json.Marshal(claim{whole, c.address})
	if err != nil {
		return err
	}
	for range 3 {
		err = writeNew(name, text)
		if err == nil {
			c.taken[whole] = name
			return nil
		}
		if !errors.Is(err, fs.ErrExist) {
			return nil // nowhere to claim: the property can be shown all the same
		}
		if other, ok := readClaim(name); ok && other.File == whole && answers(ctx, other.Address) {
			return &ServedError{path, other.Address}
		}
		os.Remove(name)
	}
	return nil
}

// release gives up what is claimed.
func (c *claims) release() {
	if c == nil {
		return
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	for path, name := range c.taken {
		if own, ok := readClaim(name); ok && own.Address == c.address {
			os.Remove(name)
		}
		delete(c.taken, path)
	}
}

// writeNew writes a file that is not there yet, whole or not at all.
func writeNew(name string, text []byte) error {
	part, err := os.CreateTemp(filepath.Dir(name), ".claim-*") // mode 0600
	if err != nil {
		return err
	}
	defer os.Remove(part.Name())
	_, err = part.Write(text)
	if err := errors.Join(err, part.Close()); err != nil {
		return err
	}
	return os.Link(part.Name(), name)
}

func readClaim(name string) (c claim, ok bool) {
	text, err := os.ReadFile(name)
	return c, err == nil && json.Unmarshal(text, &c) == nil
}

// answers reports whether a server of ours is at an address.
func answers(ctx context.Context, address string) bool {
	ctx, cancel := context.WithTimeout(ctx, 2*time.Second)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, address, nil)
	if err != nil {
		return false
	}
	client := http.Client{
		Transport:     &http.Transport{DisableKeepAlives: true, Proxy: nil},
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}
	answer, err := client.Do(r)
	if err != nil {
		return false
	}
	answer.Body.Close()
	return answer.StatusCode == http.StatusSeeOther
}
