"""The extension that runs the engine from inside LibreOffice Calc."""
