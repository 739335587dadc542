package list

import (
	"context"
	"testing"
)

func FuzzReadContacts(f *testing.F) {
	f.Add([]byte("name,phone,when,for\nFire department,555-0100,the day before,permit\n"))
	f.Add([]byte("name;phone\r\n\"Neighbor; east\";555-0101\r\n"))
	f.Add([]byte("\xff\xfen\x00a\x00m\x00e\x00"))
	f.Fuzz(func(_ *testing.T, data []byte) { _, _ = ReadContacts(context.Background(), data, "contacts.csv") })
}
