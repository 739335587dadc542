//go:build unix

package store

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
)

// asNobody runs a helper without the rights of root, where we are root.
func asNobody(t *testing.T, cmd *exec.Cmd) {
	t.Helper()
	if os.Geteuid() != 0 {
		return
	}
	if runtime.GOOS != "linux" {
		t.Skip("root may write everywhere, and only on Linux do we know how to be somebody else")
	}
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
}

// openToAll lets another user into a temporary folder.
func openToAll(t *testing.T, dir string) {
	t.Helper()
	for ; strings.HasPrefix(dir, os.TempDir()) && dir != os.TempDir(); dir = filepath.Dir(dir) {
		if err := os.Chmod(dir, 0o755); err != nil {
			t.Fatal(err)
		}
	}
}

func TestReadOnlyFilesAndFolders(t *testing.T) {
	s := create(t)
	path := s.Path()
	s.Close()
	dir := filepath.Dir(path)
	openToAll(t, dir)
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	openToAll(t, filepath.Dir(self))
	run := func(task string) string {
		cmd := helperCommand(t, task, path)
		asNobody(t, cmd)
		out, err := cmd.Output()
		if err != nil && len(out) == 0 {
			t.Skipf("the helper does not run as another user: %v", err)
		}
		return strings.TrimSpace(string(out))
	}
	// The file may not be written.
	if err := os.Chmod(path, 0o444); err != nil {
		t.Fatal(err)
	}
	if got, want := run("open"), "error: "+path+": is read-only; accepts a file that may be written"; got != want {
		t.Errorf("\n got %s\nwant %s", got, want)
	}
	// The file may be written, but not its folder.
	if err := os.Chmod(path, 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod(dir, 0o755)
	if got := run("write"); !strings.HasPrefix(got, "error: "+path+": cannot be") || !strings.Contains(got, "folder") {
		t.Errorf("got %s", got)
	}
	// The control: with both it is written.
	if err := os.Chmod(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	if got := run("write"); got != "" {
		t.Errorf("got %s", got)
	}
	again, err := Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	if units := snapshot(t, again).Units; len(units) != 1 || units[0].ID != "written" {
		t.Errorf("%v", units)
	}
}
