package signature

import (
	"bytes"
	"errors"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

const purpose = "seals@emberquilt"

// keygen runs OpenSSH's ssh-keygen, whose form of signatures this is.
func keygen(t *testing.T, in []byte, args ...string) (string, error) {
	t.Helper()
	if _, err := exec.LookPath("ssh-keygen"); err != nil {
		t.Skip("ssh-keygen is missing:", err)
	}
	cmd := exec.Command("ssh-keygen", args...)
	cmd.Stdin = bytes.NewReader(in)
	out, err := cmd.CombinedOutput()
	return string(out), err
}

func read(t *testing.T, path string) []byte {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// TestBothWaysWithOpenSSH signs here and checks with ssh-keygen -Y verify, signs with
// ssh-keygen -Y sign and checks here, with each kind of key, and refuses what is other.
func TestBothWaysWithOpenSSH(t *testing.T) {
	message := []byte("emberquilt seals 1\n")
	for _, kind := range [][]string{{"ed25519"}, {"ecdsa", "256"}, {"ecdsa", "521"}, {"rsa", "2048"}} {
		t.Run(strings.Join(kind, "-"), func(t *testing.T) {
			folder := t.TempDir()
			path := func(name string) string { return filepath.Join(folder, name) }
			args := []string{"-q", "-t", kind[0], "-N", "", "-f", path("key"), "-C", "agent"}
			if len(kind) > 1 {
				args = append(args, "-b", kind[1])
			}
			if out, err := keygen(t, nil, args...); err != nil {
				t.Fatal(out, err)
			}
			signed, err := Sign(read(t, path("key")), purpose, message)
			if err != nil {
				t.Fatal(err)
			}
			for name, text := range map[string][]byte{"list.sig": signed, "list": message, "signers": append([]byte("agent@x "), read(t, path("key.pub"))...)} {
				if err := os.WriteFile(path(name), text, 0o600); err != nil {
					t.Fatal(err)
				}
			}
			verify := func(in []byte, namespace string) error {
				_, err := keygen(t, in, "-Y", "verify", "-f", path("signers"), "-I", "agent@x", "-n", namespace, "-s", path("list.sig"))
				return err
			}
			if err := verify(message, purpose); err != nil {
				t.Error("OpenSSH does not accept ours:", err)
			}
			if verify(append(message, ' '), purpose) == nil || verify(message, "other") == nil {
				t.Error("OpenSSH accepts another message or purpose: the check checks nothing")
			}
			os.Remove(path("list.sig"))
			if out, err := keygen(t, nil, "-Y", "sign", "-f", path("key"), "-n", purpose, path("list")); err != nil {
				t.Fatal(out, err)
			}
			theirs := read(t, path("list.sig"))
			keys, err := ParseKeys(read(t, path("key.pub")))
			if err != nil || len(keys) != 1 {
				t.Fatal(keys, err)
			}
			out, err := keygen(t, nil, "-l", "-f", path("key.pub"))
			if err != nil || !strings.Contains(out, strings.Fields(keys[0].Fingerprint())[1]) {
				t.Errorf("fingerprint %q, OpenSSH says %q, %v", keys[0].Fingerprint(), out, err)
			}
			for _, text := range [][]byte{signed, theirs} {
				if by, err := Check(text, purpose, message); err != nil || !by.Is(keys[0]) {
					t.Error(by, err)
				}
				if _, err := Check(text, "other", message); !errors.Is(err, ErrWrong) {
					t.Error("another purpose:", err)
				}
				if _, err := Check(text, purpose, append(message, ' ')); !errors.Is(err, ErrWrong) {
					t.Error("another message:", err)
				}
			}
			// No change of a letter of the signature passes; nothing panics.
			r := rand.New(rand.NewPCG(16, 0))
			for range 300 {
				bad := bytes.Clone(signed)
				at := len(begin) + 1 + r.IntN(len(bad)-len(begin)-len(end)-4)
				bad[at] = "ABCDEFGHabcdefgh0123+/=\n"[r.IntN(24)]
				if by, err := Check(bad, purpose, message); err == nil && !bytes.Equal(bytes.ReplaceAll(bad, []byte("\n"), nil), bytes.ReplaceAll(signed, []byte("\n"), nil)) {
					t.Errorf("letter %d altered: accepted, by %s", at, by.Fingerprint())
				}
			}
		})
	}
}

func TestKeysThatCannotSign(t *testing.T) {
	if _, err := Sign([]byte("no key"), purpose, nil); !errors.Is(err, ErrKey) {
		t.Error(err)
	}
	for _, text := range []string{"", "# nothing\n", "ssh-ed25519 AAAA", "words"} {
		if _, err := ParseKeys([]byte(text)); !errors.Is(err, ErrKey) {
			t.Errorf("%q: %v", text, err)
		}
	}
	for _, text := range []string{"", begin, begin + "\n" + end, begin + "\nU1NIU0lH\n" + end, begin + "\nU1NIU0lHAAAAAQ==\n" + end} {
		if _, err := Check([]byte(text), purpose, nil); !errors.Is(err, ErrForm) {
			t.Errorf("%q: %v", text, err)
		}
	}
	path := filepath.Join(t.TempDir(), "key")
	if out, err := keygen(t, nil, "-q", "-t", "ed25519", "-N", "a passphrase", "-f", path); err != nil {
		t.Fatal(out, err)
	}
	if _, err := Sign(read(t, path), purpose, nil); !errors.Is(err, ErrPassphrase) {
		t.Error(err)
	}
}
