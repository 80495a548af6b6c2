"""Interval, fairness and costs -> one verdict, and what to do."""
