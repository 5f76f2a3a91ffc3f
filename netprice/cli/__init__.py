"""The command line: one small file per command: it reads options, calls the public function, shows the answer."""
