"""Would it have been right? Forecasts from earlier dates, their scores and their record."""
