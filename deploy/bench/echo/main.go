// Command echo is what the service is measured against: the same framework and
// the same bytes, without contract, calculation or limits.
package main

import (
	"flag"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"os"
	"path/filepath"

	"github.com/labstack/echo/v4"
)

func main() {
	addr := flag.String("addr", "127.0.0.1:0", "address to listen on")
	answers := flag.String("answers", "", "folder of the answers: one file a path, its slashes written as _")
	flag.Parse()
	e := echo.New()
	e.HideBanner, e.HidePort = true, true
	files, err := filepath.Glob(filepath.Join(*answers, "*.json"))
	if err != nil || len(files) == 0 {
		log.Fatalf("no answers in %s: %v", *answers, err)
	}
	byPath := map[string][]byte{}
	for _, file := range files {
		body, err := os.ReadFile(file)
		if err != nil {
			log.Fatal(err)
		}
		byPath[filepath.Base(file)] = body
	}
	canned := func(c echo.Context) error {
		if _, err := io.ReadAll(c.Request().Body); err != nil {
			return err
		}
		return c.Blob(http.StatusOK, echo.MIMEApplicationJSON, byPath[c.Param("name")+".json"])
	}
	e.GET("/v1/:name", canned)
	e.POST("/v1/:name", canned)
	l, err := net.Listen("tcp", *addr)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("listens on http://%s\n", l.Addr())
	log.Fatal(http.Serve(l, e))
}
