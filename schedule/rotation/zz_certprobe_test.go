package rotation

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"emberquilt/schedule/certify"
	"emberquilt/schedule/problem"
)

func TestZZ(t *testing.T) {
	files, _ := filepath.Glob("../../../shared/bench/problems/" + os.Getenv("ZZ") + ".json")
	for _, file := range files {
		f, _ := os.Open(file)
		p, err := problem.Read(f, file)
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		limit, _ := time.ParseDuration(os.Getenv("ZZT"))
		start := time.Now()
		res, err := Solve(context.Background(), p, Settings{TimeLimit: limit, Threads: 2})
		if err != nil {
			t.Log(err)
		}
		took := time.Since(start)
		var b bytes.Buffer
		if err := problem.WriteCertificate(&b, res.Certificate, p); err != nil {
			t.Fatal(err)
		}
		size := b.Len()
		if o := os.Getenv("ZZO"); o != "" {
			os.WriteFile(o, b.Bytes(), 0o644)
		}
		start = time.Now()
		c, err := problem.ReadCertificate(&b, "c", p)
		if err != nil {
			t.Fatal(err)
		}
		read := time.Since(start)
		start = time.Now()
		r, err := certify.Check(context.Background(), p, res.Answer, c)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%s solve %v (%d nodes), %d KB read %v check %v leaves %d closed %d: cost %v bound %v proven %v | %v", filepath.Base(file), took, res.Stats.Nodes, size>>10, read, time.Since(start), r.Certified.Leaves, r.Certified.Closed, res.Answer.Cost, res.Answer.Bound, r.Certified.Bound, r.Violations)
	}
}
