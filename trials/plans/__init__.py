"""The draw, tags, power, designs compared, advice."""
