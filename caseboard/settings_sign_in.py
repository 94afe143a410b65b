"""Sign-in: a code by email, no passwords."""

AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
ACCOUNT_ADAPTER = "horses.accounts.adapter.AccountAdapter"
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*"]
ACCOUNT_SIGNUP_FORM_CLASS = "horses.accounts.forms.signup.SignupForm"
ACCOUNT_FORMS = {
    "request_login_code": "horses.accounts.forms.sign_in.RequestCodeForm",
    "confirm_login_code": "horses.accounts.forms.sign_in.ConfirmCodeForm",
    "confirm_email_verification_code": "horses.accounts.forms.sign_in.ConfirmAddressForm",
    "signup": "horses.accounts.forms.sign_in.MakeAccountForm",
}
ACCOUNT_LOGIN_BY_CODE_ENABLED = True
ACCOUNT_LOGIN_BY_CODE_REQUIRED = False
ACCOUNT_LOGIN_BY_CODE_TIMEOUT = 300
ACCOUNT_LOGIN_BY_CODE_MAX_ATTEMPTS = 3
ACCOUNT_EMAIL_VERIFICATION = "mandatory"
ACCOUNT_EMAIL_VERIFICATION_BY_CODE_ENABLED = True
ACCOUNT_EMAIL_VERIFICATION_BY_CODE_TIMEOUT = 300
ACCOUNT_EMAIL_VERIFICATION_BY_CODE_MAX_ATTEMPTS = 3
ACCOUNT_PREVENT_ENUMERATION = True
# Ours stand in front of all its doors (caseboard/views/entrance.py) and say how long to wait.
ACCOUNT_RATE_LIMITS = False
ACCOUNT_SESSION_REMEMBER = True
ACCOUNT_EMAIL_SUBJECT_PREFIX = ""
LOGIN_URL = "account_request_login_code"
LOGIN_REDIRECT_URL = "horses"
ACCOUNT_LOGOUT_REDIRECT_URL = "account_request_login_code"
