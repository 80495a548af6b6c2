"""Was it a fair trial? One pure function a check, all listed in `checklist`; thresholds in `thresholds`."""
