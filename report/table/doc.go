// Package table writes what report/view computed as terminal tables, CSV,
// JSON and XLSX.
//
// In a terminal color helps and never carries anything alone: every mark has
// its sign. Color is dropped where the output is not a terminal and where
// NO_COLOR is set. It is the only package that imports lipgloss and excelize.
package table
