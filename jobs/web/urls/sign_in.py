from django.urls import path

from jobs.web.views import sign_in, sign_ins

urlpatterns = [
    path("sign-in/", sign_in.sign_in, name="sign_in"),
    path("sign-in/code/", sign_in.sign_in_with_code, name="sign_in_with_code"),
    path("l", sign_in.sign_in_link, name="sign_in_link"),
    path("sign-out/", sign_in.sign_out, name="sign_out"),
    path("password/choose", sign_ins.choose_password, name="choose_password"),
    path("password/", sign_in.password, name="password"),
]
