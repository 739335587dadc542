package cli

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

// A document that goes to a terminal, and to no file, obeys nobody's names either.
func TestDocumentsOnATerminalAreVisible(t *testing.T) {
	keeper, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Skip("no terminals here: ", err)
	}
	defer keeper.Close()
	number, err := unix.IoctlGetInt(int(keeper.Fd()), unix.TIOCGPTN)
	if err == nil {
		err = unix.IoctlSetPointerInt(int(keeper.Fd()), unix.TIOCSPTLCK, 0)
	}
	if err != nil {
		t.Skip("no terminals here: ", err)
	}
	shown, err := os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Skip("no terminals here: ", err)
	}
	defer shown.Close()

	settings := filepath.Join(t.TempDir(), "p.toml")
	text := "name = \"a\u202eb\"\nutc_offset = -6\n[[season]]\nname = \"dormant\"\nfirst = \"11-15\"\nlast = \"03-15\"\n"
	if err := os.WriteFile(settings, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	property := filepath.Join(t.TempDir(), "p.emberquilt")
	run := func(args ...string) int {
		return Program{Args: args, In: strings.NewReader(""), Out: shown, Err: os.Stderr, Getenv: func(string) string { return "" }, Now: time.Now}.Run(context.Background())
	}
	seen := make(chan string)
	go func() {
		var all strings.Builder
		buffer := make([]byte, 4096)
		for !strings.Contains(all.String(), "END") {
			n, err := keeper.Read(buffer)
			all.Write(buffer[:n])
			if err != nil {
				break
			}
		}
		seen <- all.String()
	}()
	for _, args := range [][]string{{"new", property, "--settings", settings}, {"record", "sheet", "-", "--property", property}, {"settings", "--property", property}} {
		if status := run(args...); status != 0 {
			t.Errorf("%v: status %d", args, status)
		}
	}
	fmt.Fprintln(shown, "END")
	if all := <-seen; strings.ContainsAny(all, "\u202e\x1b\x00") || !strings.Contains(all, `\u202e`) || !strings.Contains(all, "PK") {
		t.Errorf("on the terminal: %.500q", all)
	}
}
