package geofile

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"slices"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/source"
)

// Options say what a file does not say itself. The zero value asks for nothing.
type Options struct {
	// System names the coordinate system, such as "EPSG:26914", "UTM 14N" or the
	// text of a .prj file; empty means what the file says, and WGS 84 degrees
	// where it says nothing.
	System string
	// Layer names the layer of a GeoPackage that has several.
	Layer string
	// NameField names the attribute that holds the names; empty means a guess
	// among the usual ones.
	NameField string
}

const acceptedFormats = "GeoJSON, an ESRI shapefile (.shp with its .dbf and .prj, or all of them in a zip), GeoPackage, KML, KMZ, GPX, or CSV with well-known text"

// Read reads a file of any known format, which it tells from the content.
//
// A shapefile is given by any of its files, its siblings are found beside it.
// The features that are good come back beside the error, a *source.List or
// *source.Error, that names those that are not. Other errors are those of the
// file system.
func Read(name string, opts Options) (*Layer, error) {
	info, err := os.Stat(name)
	if err != nil {
		return &Layer{File: name}, err
	}
	if info.IsDir() {
		e := &source.Error{Position: source.Position{File: name}, Found: "is a folder", Accepts: acceptedFormats}
		if strings.EqualFold(filepath.Ext(name), ".gdb") {
			e.Found, e.Hint = "is a file geodatabase", hintGeodatabase
		}
		return &Layer{File: name}, e
	}
	if !info.Mode().IsRegular() {
		return &Layer{File: name}, noRegularFile(name)
	}
	main := name
	switch strings.ToLower(filepath.Ext(name)) {
	case ".shx", ".dbf", ".prj", ".cpg":
		if shp := sibling(name, ".shp"); shp != "" {
			main = shp
		}
	}
	data, err := readFile(main)
	if err != nil {
		return &Layer{File: name}, err
	}
	switch {
	case bytes.HasPrefix(data, []byte(databaseMagic)):
		return readGeoPackage(main, name, opts)
	case !isShapefile(data):
		return ReadBytes(data, name, opts)
	}
	f := shapefile{name: name, shp: data}
	into := f.siblings()
	for _, ext := range siblingEndings {
		if other := sibling(main, ext); other != "" {
			if *into[ext], err = readFile(other); err != nil {
				return &Layer{File: name}, err
			}
		}
	}
	return readShapefile(f, opts)
}

const hintGeodatabase = "export the layer as GeoPackage, GeoJSON or shapefile"

// noRegularFile refuses a pipe, which would be waited for without end, and a device.
func noRegularFile(name string) error {
	return &source.Error{Position: source.Position{File: name}, Found: "is no regular file", Accepts: acceptedFormats}
}

var siblingEndings = []string{".shx", ".dbf", ".prj", ".cpg"}

// siblings gives the files beside the .shp by their endings.
func (f *shapefile) siblings() map[string]*[]byte {
	return map[string]*[]byte{".shx": &f.shx, ".dbf": &f.dbf, ".prj": &f.prj, ".cpg": &f.cpg}
}

func readFile(name string) ([]byte, error) {
	if info, err := os.Stat(name); err == nil && !info.Mode().IsRegular() {
		return nil, noRegularFile(name)
	}
	file, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return nil, err
	}
	return readAll(file, name, info.Size())
}

// sibling finds the file with another ending, in any case; empty means none.
func sibling(name, ext string) string {
	stem := strings.TrimSuffix(name, filepath.Ext(name))
	for _, e := range []string{ext, strings.ToUpper(ext)} {
		if info, err := os.Stat(stem + e); err == nil && !info.IsDir() {
			return stem + e
		}
	}
	return ""
}

// ReadBytes reads the content of a file, as Read does. name is used for
// positions only.
func ReadBytes(data []byte, name string, opts Options) (*Layer, error) {
	refuse := func(found, hint string) (*Layer, error) {
		return &Layer{File: name}, &source.Error{Position: source.Position{File: name}, Found: found, Accepts: acceptedFormats, Hint: hint}
	}
	if len(data) > MaxBytes {
		return &Layer{File: name}, tooLarge(name)
	}
	for _, known := range otherFormats {
		if bytes.HasPrefix(data, []byte(known.magic)) {
			return refuse("this is "+known.name, known.hint)
		}
	}
	switch {
	case bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return readZip(data, name, opts)
	case isShapefile(data):
		return readShapefile(shapefile{name: name, shp: data}, opts)
	case bytes.HasPrefix(data, []byte(databaseMagic)):
		return readGeoPackageBytes(data, name, opts)
	}
	text, err := plainText(data, name)
	if err != nil {
		return &Layer{File: name}, err
	}
	text = joinSequence(text)
	head := bytes.TrimLeft(text, " \t\r\n")
	switch {
	case isMIF(head):
		return refuse("this is a MapInfo interchange file", "export the layer as GeoJSON or shapefile")
	case isDXF(head):
		return refuse("this is a CAD drawing (DXF)", "export the boundaries as shapefile or KML in WGS 84")
	case head[0] == '{' || head[0] == '[':
		return readGeoJSON(text, name, opts)
	case head[0] == '<':
		switch root := rootElement(text); root {
		case "kml":
			return readKML(text, name, opts)
		case "gpx":
			return readGPX(text, name, opts)
		case "":
			return refuse("this is XML that does not hold together", "")
		default:
			return refuse("this is XML of another kind, <"+source.Clean(root)+">", "")
		}
	}
	if hasGeometryColumn(head) {
		return readCSV(text, name, opts)
	}
	return refuse("this is not a format with shapes that is known here", "a CSV table needs a column named wkt or geometry")
}

var otherFormats = []struct{ magic, name, hint string }{
	{pdfMagic, "a PDF", "boundaries cannot be read from a drawing"},
	{"\x89PNG", "a picture", "boundaries cannot be read from a picture"},
	{"\xff\xd8\xff", "a picture", "boundaries cannot be read from a picture"},
	{"II*\x00", "a picture (TIFF)", "boundaries cannot be read from a picture"},
	{"MM\x00*", "a picture (TIFF)", "boundaries cannot be read from a picture"},
	{"\x1f\x8b", "packed with gzip", "unpack it first"},
	{"Rar!", "packed with RAR", "unpack it first"},
	{"7z\xbc\xaf", "packed with 7-Zip", "unpack it first"},
	{"AC10", "a CAD drawing (DWG)", "export the boundaries as shapefile or KML in WGS 84"},
	{"fgb\x03", "a FlatGeobuf file", "export the layer as GeoJSON or shapefile"},
	{"PAR1", "a Parquet file", "export the layer as GeoJSON or shapefile"},
	{mapInfoTable, "a MapInfo table", "export the layer as GeoJSON or shapefile"},
}

// The formats that are text begin as no table does.
const (
	pdfMagic     = "%PDF"
	mapInfoTable = "!table"
)

// IsForeign tells files of formats that ReadBytes refuses by name from tables: what begins
// like one of them is one where it is not text.
func IsForeign(data []byte) bool {
	for _, known := range otherFormats {
		if bytes.HasPrefix(data, []byte(known.magic)) {
			head := data[:min(len(data), 512)]
			return known.magic == pdfMagic || known.magic == mapInfoTable || bytes.IndexByte(head, 0) >= 0 || !utf8.Valid(head)
		}
	}
	return isMIF(data)
}

// isMIF tells MapInfo's interchange files: a line with a version, then the characters.
func isMIF(data []byte) bool {
	first, rest, _ := bytes.Cut(data, []byte{'\n'})
	version, has := bytes.CutPrefix(bytes.TrimSpace(first), []byte("Version "))
	_, err := strconv.Atoi(string(version))
	return has && err == nil && bytes.HasPrefix(rest, []byte("Charset "))
}

// isDXF tells drawings in their text form: pairs of lines, a group code and a value.
func isDXF(head []byte) bool {
	first, rest, _ := bytes.Cut(head, []byte{'\n'})
	second, _, _ := bytes.Cut(rest, []byte{'\n'})
	return string(bytes.TrimSpace(first)) == "0" && string(bytes.TrimSpace(second)) == "SECTION"
}

// sequenceBlanks part the records of a sequence, and stand around them.
const sequenceBlanks = " \t\r\n\x1e"

// isSequence tells a sequence of features, one a line (newline-delimited GeoJSON, or RFC
// 8142 with its separators), from one document: each line is an object, and there are
// several, or separators.
func isSequence(text []byte) bool {
	records := 0
	for line := range bytes.Lines(text) {
		if line = bytes.Trim(line, sequenceBlanks); len(line) == 0 {
			continue
		}
		if line[0] != '{' || line[len(line)-1] != '}' {
			return false
		}
		if records++; records == 2 && !json.Valid(firstRecord(text)) {
			return false // lines of one document that happen to look so
		}
	}
	return records > 1 || records == 1 && bytes.IndexByte(text, '\x1e') >= 0
}

func firstRecord(text []byte) []byte {
	line, _, _ := bytes.Cut(bytes.TrimLeft(text, sequenceBlanks), []byte{'\n'})
	return bytes.Trim(line, sequenceBlanks)
}

// joinSequence makes a sequence a collection of the same lines; other text it gives back.
func joinSequence(text []byte) []byte {
	if !isSequence(text) {
		return text
	}
	out := []byte(`{"type":"FeatureCollection","features":[`)
	isFirst := true
	for line := range bytes.Lines(text) {
		if record := bytes.Trim(line, sequenceBlanks); len(record) > 0 {
			if !isFirst {
				out = append(out, ',')
			}
			out, isFirst = append(out, record...), false
		}
		if line[len(line)-1] == '\n' {
			out = append(out, '\n')
		}
	}
	return append(out, "]}"...)
}

func rootElement(text []byte) string {
	m := newMarkup(text, "")
	for len(m.stack) == 0 {
		if t, err := m.next(); err != nil || t == nil {
			return ""
		}
	}
	return m.stack[0]
}

// mostEntries is how many files a zip may hold.
const mostEntries = 2_000

// readZip reads a KMZ, or the one shapefile or other file with shapes that a
// zip holds.
func readZip(data []byte, name string, opts Options) (*Layer, error) {
	layer := &Layer{File: name}
	refuse := func(accepts, format string, args ...any) (*Layer, error) {
		return layer, &source.Error{Position: source.Position{File: name}, Found: fmt.Sprintf(format, args...), Accepts: accepts}
	}
	if len(data) > maxPacked {
		return refuse(fmt.Sprintf("up to %d MB", maxPacked>>20), "the zip is above %d MB", maxPacked>>20)
	}
	if n := zipEntries(data); n > mostEntries {
		return refuse("a zip with the files of one layer", "the zip holds %s files", grouped(int64(n)))
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return refuse("a whole zip", "the zip cannot be read: %v", err)
	}
	byName := make(map[string]*zip.File)
	var shps, others []string
	geodatabase := false
	for _, f := range z.File {
		lower := strings.ToLower(f.Name)
		if strings.HasPrefix(lower, "__macosx/") || strings.HasPrefix(path.Base(lower), ".") {
			continue
		}
		if _, ok := byName[lower]; !ok {
			byName[lower] = f
		}
		switch path.Ext(lower) {
		case ".shp":
			shps = append(shps, lower)
		case ".gdbtable":
			geodatabase = true
		case ".kml", ".geojson", ".json", ".geojsonl", ".geojsons", ".gpkg", ".gpx", ".csv":
			others = append(others, lower)
		}
	}
	sort.Strings(shps)
	sort.Strings(others)
	budget := int64(MaxBytes)
	open := func(lower string) ([]byte, error) { return unpack(byName[lower], name, &budget) }
	switch {
	case len(shps) > 1:
		return refuse("a zip with one layer", "the zip holds %d shapefiles: %s", len(shps), strings.Join(quoteAll(shps), ", "))
	case len(shps) == 1:
		return zippedShapefile(shps[0], name, byName, open, opts)
	}
	chosen := ""
	for _, o := range others {
		if chosen == "" || path.Base(o) == "doc.kml" {
			chosen = o
		}
	}
	if chosen == "" {
		if byName["[content_types].xml"] != nil {
			return refuse(acceptedFormats, "this is an office document")
		}
		if byName["content.xml"] != nil && byName["mimetype"] != nil {
			return layer, &source.Error{Position: source.Position{File: name}, Found: "this is an OpenDocument file", Accepts: acceptedFormats, Hint: "save a table as .xlsx or CSV"}
		}
		if geodatabase {
			return layer, &source.Error{Position: source.Position{File: name}, Found: "the zip holds a file geodatabase", Accepts: acceptedFormats, Hint: hintGeodatabase}
		}
		return refuse(acceptedFormats, "the zip holds no file with shapes")
	}
	isKML := path.Ext(chosen) == ".kml"
	if len(others) > 1 && !isKML {
		return refuse("a zip with one layer", "the zip holds several files with shapes: %s", strings.Join(quoteAll(others), ", "))
	}
	inner, err := open(chosen)
	if err != nil {
		return layer, err
	}
	if bytes.HasPrefix(inner, []byte("PK\x03\x04")) {
		return refuse("files with shapes in the zip", "the zip holds another zip")
	}
	layer, err = ReadBytes(inner, name, opts)
	var e *source.Error
	if isKML && errors.As(err, &e) && strings.HasSuffix(e.Found, linksAlone) {
		// A document that links to the layers beside it, as programs write several of them.
		linked := slices.DeleteFunc(slices.Clone(others), func(o string) bool { return o == chosen || path.Ext(o) != ".kml" })
		switch {
		case len(linked) > 1:
			return refuse("a KMZ with one layer: unpacked, its files can be read one by one", "the KMZ links to %d files with shapes in it: %s", len(linked), strings.Join(quoteAll(linked), ", "))
		case len(linked) == 1:
			chosen = linked[0]
			if inner, err = open(chosen); err != nil {
				return layer, err
			}
			layer, err = ReadBytes(inner, name, opts)
		}
	}
	if isKML {
		layer.Format = "KMZ"
		if len(others) > 1 {
			layer.Notes = append(layer.Notes, ground.Note{Position: source.Position{File: name}, Kind: ground.Dropped,
				Text: fmt.Sprintf("only %s was read of %d files in it", source.Quote(byName[chosen].Name), len(others))})
		}
	} else {
		layer.Format = "zipped " + layer.Format
	}
	return layer, err
}

func zippedShapefile(shp, name string, byName map[string]*zip.File, open func(string) ([]byte, error), opts Options) (*Layer, error) {
	f := shapefile{name: name}
	var err error
	if f.shp, err = open(shp); err != nil {
		return &Layer{File: name}, err
	}
	stem := strings.TrimSuffix(shp, ".shp")
	into := f.siblings()
	for _, ext := range siblingEndings {
		if byName[stem+ext] != nil {
			if *into[ext], err = open(stem + ext); err != nil {
				return &Layer{File: name}, err
			}
		}
	}
	layer, err := readShapefile(f, opts)
	layer.Format = "zipped " + layer.Format
	return layer, err
}

func quoteAll(names []string) []string {
	const most = 5
	var out []string
	for i, n := range names {
		if i == most {
			return append(out, "…")
		}
		out = append(out, source.Quote(n))
	}
	return out
}

// unpack gives the content of a file in a zip, and takes its size off the
// budget for all of them, whatever size the zip claims.
func unpack(f *zip.File, name string, budget *int64) ([]byte, error) {
	bad := func(found string) error {
		return &source.Error{Position: source.Position{File: name, Field: source.Clean(f.Name)}, Found: found, Accepts: fmt.Sprintf("files of up to %d MB in all", MaxBytes>>20)}
	}
	in, err := f.Open()
	if err != nil {
		return nil, bad("cannot be unpacked: " + err.Error())
	}
	defer in.Close()
	var out bytes.Buffer
	out.Grow(int(min(f.UncompressedSize64, uint64(*budget))) + bytes.MinRead)
	_, err = out.ReadFrom(io.LimitReader(in, *budget+1))
	data := out.Bytes()
	if int64(len(data)) > *budget {
		return nil, bad(fmt.Sprintf("unpacks to more than %d MB", MaxBytes>>20))
	}
	if err != nil {
		return nil, bad("cannot be unpacked: " + err.Error())
	}
	*budget -= int64(len(data))
	return data, nil
}
