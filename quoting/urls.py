"""The pages of the rooms; each room adds its own list."""

from django.urls import URLPattern, URLResolver, path

from quoting.views import accounts

accounts_pages = [
    path("sign-in/", accounts.sign_in, name="sign-in"),
    path("sign-out/", accounts.sign_out, name="sign-out"),
    path("second-factor/", accounts.second_factor, name="second-factor"),
    path("second-factor/set-up/", accounts.second_factor_set_up, name="second-factor-set-up"),
    path("second-factor/picture.svg", accounts.second_factor_picture, name="second-factor-picture"),
    path("account/", accounts.account, name="account"),
    path("account/password/", accounts.change_password, name="change-password"),
    path("account/sign-out-everywhere/", accounts.sign_out_everywhere, name="sign-out-everywhere"),
    path("firm/people/", accounts.firm_people, name="firm-people"),
    path("firm/people/add/", accounts.add_person, name="add-person"),
    path("firm/people/<int:pk>/", accounts.edit_person, name="edit-person"),
]

urlpatterns: list[URLPattern | URLResolver] = [*accounts_pages]
