// Package signature signs bytes with a user's ssh key and checks such signatures, in
// the form that OpenSSH's ssh-keygen -Y writes and reads, so that either side can be
// done with it.
//
// Source: OpenSSH, PROTOCOL.sshsig (2020), with the keys and algorithms of
// golang.org/x/crypto/ssh.
package signature

import (
	"bytes"
	"crypto/rand"
	"crypto/sha256"
	"crypto/sha512"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"

	"golang.org/x/crypto/ssh"
)

// What may be wrong; errors.Is finds them.
var (
	// ErrKey means that a file holds no key that can sign, or be signed by.
	ErrKey = errors.New("not an ssh key")
	// ErrPassphrase means that a key is locked by a passphrase.
	ErrPassphrase = errors.New("the key is locked by a passphrase")
	// ErrForm means that a text is not an ssh signature.
	ErrForm = errors.New("not an ssh signature")
	// ErrWrong means that a signature is not one of these bytes for this purpose.
	ErrWrong = errors.New("the signature does not fit")
)

const (
	magic   = "SSHSIG"
	version = 1
	begin   = "-----BEGIN SSH SIGNATURE-----"
	end     = "-----END SSH SIGNATURE-----"
	// lineLength is that of ssh-keygen's lines of base64.
	lineLength = 70
)

// blob is what follows the magic of a signature.
type blob struct {
	Version   uint32
	PublicKey []byte
	Namespace string
	Reserved  string
	Hash      string
	Signature []byte
}

// signedData is what follows the magic in the bytes that the key signs.
type signedData struct {
	Namespace string
	Reserved  string
	Hash      string
	Sum       []byte
}

// bytesToSign gives the bytes that the key signs.
func bytesToSign(namespace, hash string, message []byte) ([]byte, error) {
	var sum []byte
	switch hash {
	case "sha512":
		full := sha512.Sum512(message)
		sum = full[:]
	case "sha256":
		full := sha256.Sum256(message)
		sum = full[:]
	default:
		return nil, fmt.Errorf("%w: its checksum is %q", ErrForm, hash)
	}
	return append([]byte(magic), ssh.Marshal(signedData{Namespace: namespace, Hash: hash, Sum: sum})...), nil
}

// Sign signs a message with a private key, as its file holds it, for a purpose that the
// namespace names. It gives the text of a signature file.
func Sign(key []byte, namespace string, message []byte) ([]byte, error) {
	signer, err := ssh.ParsePrivateKey(key)
	var locked *ssh.PassphraseMissingError
	switch {
	case errors.As(err, &locked):
		return nil, ErrPassphrase
	case err != nil:
		return nil, ErrKey
	}
	data, err := bytesToSign(namespace, "sha512", message)
	if err != nil {
		return nil, err
	}
	algorithm := signer.PublicKey().Type()
	if algorithm == ssh.KeyAlgoRSA { // whose own algorithm, with SHA-1, the form forbids
		algorithm = ssh.KeyAlgoRSASHA512
	}
	with, ok := signer.(ssh.AlgorithmSigner)
	if !ok {
		return nil, ErrKey
	}
	made, err := with.SignWithAlgorithm(rand.Reader, data, algorithm)
	if err != nil {
		return nil, fmt.Errorf("%w: %v", ErrKey, err)
	}
	packed := append(
		[]byte(magic),
		ssh.Marshal(blob{Version: version, PublicKey: signer.PublicKey().Marshal(), Namespace: namespace, Hash: "sha512", Signature: ssh.Marshal(made)})...)
	text := base64.StdEncoding.EncodeToString(packed)
	var b bytes.Buffer
	fmt.Fprintln(&b, begin)
	for len(text) > 0 {
		n := min(lineLength, len(text))
		fmt.Fprintln(&b, text[:n])
		text = text[n:]
	}
	fmt.Fprintln(&b, end)
	return b.Bytes(), nil
}

// Key is a public key.
type Key struct{ key ssh.PublicKey }

// Fingerprint names the key, as ssh-keygen -l does.
func (k Key) Fingerprint() string {
	return strings.TrimPrefix(k.key.Type(), "ssh-") + " " + ssh.FingerprintSHA256(k.key)
}

// Is reports whether two keys are one.
func (k Key) Is(other Key) bool { return bytes.Equal(k.key.Marshal(), other.key.Marshal()) }

// Check gives the key that signed a message for a purpose. The error is ErrForm or
// ErrWrong; whose the key is, the caller knows.
func Check(text []byte, namespace string, message []byte) (Key, error) {
	body, found := strings.CutPrefix(strings.TrimSpace(string(text)), begin)
	body, ended := strings.CutSuffix(body, end)
	packed, err := base64.StdEncoding.Strict().DecodeString(strings.Join(strings.Fields(body), ""))
	if !found || !ended || err != nil || !bytes.HasPrefix(packed, []byte(magic)) {
		return Key{}, ErrForm
	}
	var of blob
	if err := ssh.Unmarshal(packed[len(magic):], &of); err != nil || of.Version != version {
		return Key{}, ErrForm
	}
	key, err := ssh.ParsePublicKey(of.PublicKey)
	if err != nil {
		return Key{}, fmt.Errorf("%w: its key cannot be read", ErrForm)
	}
	var made ssh.Signature
	if err := ssh.Unmarshal(of.Signature, &made); err != nil {
		return Key{}, ErrForm
	}
	if made.Format == ssh.KeyAlgoRSA || key.Type() == dsa {
		return Key{}, fmt.Errorf("%w: %s is too weak", ErrForm, made.Format)
	}
	if of.Namespace != namespace {
		return Key{}, fmt.Errorf("%w: it was made for %q", ErrWrong, of.Namespace)
	}
	data, err := bytesToSign(of.Namespace, of.Hash, message)
	if err != nil {
		return Key{}, err
	}
	if err := key.Verify(data, &made); err != nil {
		return Key{}, ErrWrong
	}
	return Key{key}, nil
}

// dsa is the type of the old keys of 1,024 bits (RFC 4253, section 6.6).
const dsa = "ssh-dss"

// ParseKeys reads public keys, a line each, as .pub and authorized_keys files hold
// them. The error is ErrKey where a line holds none, or where there is none at all.
func ParseKeys(text []byte) ([]Key, error) {
	var all []Key
	for line := range strings.Lines(string(text)) {
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		key, _, _, _, err := ssh.ParseAuthorizedKey([]byte(line))
		if err != nil {
			return nil, ErrKey
		}
		all = append(all, Key{key})
	}
	if len(all) == 0 {
		return nil, ErrKey
	}
	return all, nil
}
