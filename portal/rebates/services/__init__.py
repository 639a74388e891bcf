"""What changes plans, quotes, subsidy requests and funds; one file per noun."""
