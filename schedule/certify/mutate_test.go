package certify

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
)

// TestNoMutationProvesTooMuch claims a little more than the optimum and changes
// certificates at random: numbers, digits, words, whole members. Whatever comes
// out, if it is read at all, must not prove the claim.
func TestNoMutationProvesTooMuch(t *testing.T) {
	seeds := uint64(250)
	if testing.Short() {
		seeds = 50
	}
	read := 0
	for seed := range seeds {
		r := rand.New(rand.NewPCG(seed, 11))
		p := reference.Random(r, reference.Size{Locks: 10})
		best, exists := reference.Optimum(p)
		if !exists {
			continue
		}
		claim := best.Cost + 1e-6*max(1, best.Cost)
		c := newDrawer(r, p).certificate(2)
		c.Bound = claim
		if r.IntN(3) == 0 {
			for k := range c.Shared {
				c.Shared[k].Sweep = claim
			}
		}
		var b bytes.Buffer
		if err := problem.WriteCertificate(&b, c, p); err != nil {
			t.Fatal(err)
		}
		text := b.String()
		for range 25 {
			if accepted, ok := proves(t, p, mutate(r, text, claim), claim); ok {
				read++
				if accepted {
					t.Fatalf("seed %d: proves %v, the optimum is %v", seed, claim, best.Cost)
				}
			}
		}
	}
	t.Logf("%d changed certificates could be read", read)
	if read < int(seeds)*4 {
		t.Error("too few could be read: the test says little")
	}
}

// proves reports whether a text proves the claim; ok is false where it is no
// certificate, or one with another claim.
func proves(t *testing.T, p *problem.Problem, text string, claim float64) (accepted, ok bool) {
	c, err := problem.ReadCertificate(strings.NewReader(text), "c", p)
	if err != nil || c.Bound < claim {
		return false, false
	}
	_, err = Bound(context.Background(), p, c)
	return err == nil, true
}

var numerals = regexp.MustCompile(`[ \[](-?[0-9][-0-9.e]*)`)

// mutate changes a few places of a certificate's text after its first lines,
// which hold the format, the hash and the claim.
func mutate(r *rand.Rand, text string, claim float64) string {
	lines := strings.SplitN(text, "\n", 5)
	head, body := strings.Join(lines[:4], "\n")+"\n", lines[4]
	for range 1 + r.IntN(3) {
		spans := numerals.FindAllStringSubmatchIndex(body, -1)
		if len(spans) == 0 {
			return head + body
		}
		at := spans[r.IntN(len(spans))][2:]
		var with string
		switch r.IntN(8) {
		case 0:
			with = "0"
		case 1:
			with = fmt.Sprint(-r.Float64() * 100)
		case 2:
			with = fmt.Sprint(r.ExpFloat64() * claim)
		case 3:
			with = fmt.Sprint(r.IntN(6))
		case 4:
			with = "1e18"
		case 5:
			with = fmt.Sprint(2027 + r.IntN(6))
		case 6:
			with = body[at[0]:at[1]] + "1"
		case 7:
			other := spans[r.IntN(len(spans))][2:]
			with = body[other[0]:other[1]]
		}
		body = body[:at[0]] + with + body[at[1]:]
		if r.IntN(4) == 0 {
			words := [][2]string{{`"acres"`, `"even_high"`}, {`"mix_low"`, `"mix_high"`}, {`"apart"`, `"neighbours"`}, {`"n1"`, `"n2"`},
				{`"burn"`, `"rest"`}, {`"dormant"`, `"late-growing"`}, {`"even_low"`, `"even_high"`}, {`"share"`, `"shares"`}, {`"c0"`, `"c1"`}}
			w := words[r.IntN(len(words))]
			body = strings.Replace(body, w[0], w[1], 1+r.IntN(3))
		}
	}
	return head + body
}
