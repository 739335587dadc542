// Package page writes the papers as HTML: each one self-contained file that
// opens without a network and makes no request.
//
// html/template escapes every text; charts are go-echarts options handed to
// the embedded echarts library as JSON. go-echarts' own rendering is never
// called: it writes names unescaped into a script. A content security policy
// in each page forbids every request, so that a slip shows as an error.
//
// It is the only package that imports go-echarts.
package page
