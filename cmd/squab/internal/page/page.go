package page
