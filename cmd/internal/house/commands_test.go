package house_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// busyClosures lists the RunE closures of a file that do more than take down what
// the command line says and call: those that open something or decide on the job,
// which shows in a closure inside or in a name of one of our packages.
func busyClosures(t *testing.T, name string, src any) (busy []string) {
	t.Helper()
	files := token.NewFileSet()
	file, err := parser.ParseFile(files, name, src, 0)
	if err != nil {
		t.Fatal(err)
	}
	var ours []string
	for _, spec := range file.Imports {
		if path, _ := strconv.Unquote(spec.Path.Value); strings.HasPrefix(path, module) {
			ours = append(ours, path[strings.LastIndex(path, "/")+1:])
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		field, ok := n.(*ast.KeyValueExpr)
		if !ok {
			return true
		}
		key, _ := field.Key.(*ast.Ident)
		body, isClosure := field.Value.(*ast.FuncLit)
		if key == nil || key.Name != "RunE" || !isClosure {
			return true
		}
		ast.Inspect(body.Body, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.FuncLit:
				busy = append(busy, files.Position(n.Pos()).String()+": a closure")
			case *ast.SelectorExpr:
				if of, ok := n.X.(*ast.Ident); ok && slices.Contains(ours, of.Name) {
					busy = append(busy, files.Position(n.Pos()).String()+": "+of.Name+"."+n.Sel.Name)
				}
			}
			return true
		})
		return false
	})
	return busy
}

// TestCommandsOnlyCall holds the commands to flags, a call and printing.
func TestCommandsOnlyCall(t *testing.T) {
	files, err := filepath.Glob("../cli/*.go")
	if err != nil || len(files) < 50 {
		t.Fatalf("%d files of commands, %v; the test looks at the wrong place", len(files), err)
	}
	for _, name := range files {
		for _, what := range busyClosures(t, name, nil) {
			t.Errorf("%s in a RunE closure; it belongs into a function of the command's options", what)
		}
	}
}

// TestCommandsOnlyCallRefuses is that check's own check.
func TestCommandsOnlyCallRefuses(t *testing.T) {
	const head = "package cli\nimport \"emberquilt/cmd/internal/app\"\nvar c = cobra.Command{RunE: func(cmd *cobra.Command, args []string) error {\n"
	for _, body := range []string{
		"return a.session(cmd.Context(), 0, func(s *S) error { return nil })",
		"return app.Backup(args[0])",
	} {
		if busyClosures(t, "x.go", head+body+"}}") == nil {
			t.Errorf("a RunE closure may hold %s", body)
		}
	}
	if busy := busyClosures(t, "x.go", head+"o.unit = args[0]; return a.runFix(cmd.Context(), o)}}"); busy != nil {
		t.Errorf("a RunE closure may not call: %q", busy)
	}
}
