"""Small spoken clips: `<speaker>/<words>.flac`; the name is the transcript."""
