"""The build in order and in time: steps, glues, schedule, calendar and chart."""
