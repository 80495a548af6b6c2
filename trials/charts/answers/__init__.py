"""The charts of answers that are more than one difference: levels, size classes, audits. One Altair chart a file."""
